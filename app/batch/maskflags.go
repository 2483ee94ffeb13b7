package batch

import (
	"errors"
	"flag"
	"fmt"
	"strings"

	"halocline/mask"
)

// maskFlags are what the verb mask may be given.
type maskFlags struct {
	set              *flag.FlagSet
	matte, name      string
	points           outline
	feather          feather
	rounded, drop    bool
	search           float64 // pixels
	tight, found     bool
	keepDab, dropDab discs
	clearDabs        bool
	way              way
	before, after    beyond
	spare            string // "", spareShow or spareRemove
	spares           []spareReport
	frame            int
}

func newMaskFlags(c *call) *maskFlags {
	m := &maskFlags{set: c.newFlags()}
	m.set.StringVar(&m.matte, "matte", "", "name of the matte")
	m.set.StringVar(&m.name, "name", "", "of the mask: one that is there is changed, with --points it gets a key on the frame; a new name draws a new mask; without --name the matte's only mask is meant, or a first one named \"mask\" is drawn")
	m.set.Var(&m.points, "points", "corners \"X,Y X,Y X,Y...\" in pixels")
	m.set.Var(&m.feather, "feather", "widths IN,OUT in pixels over which it fades")
	m.set.BoolVar(&m.rounded, "rounded", false, "a smooth curve through the corners")
	m.set.BoolVar(&m.drop, "drop", false, "leave out what lies inside")
	m.set.Float64Var(&m.search, "search", 0, "how deep below the outline the picture's edge is expected, in pixels, at most 1000: the mask is led to it; 0 leaves it as drawn")
	m.set.BoolVar(&m.tight, "tight", false, "the outline lies on the edge within a few pixels, on the frame: the search looks on both sides of it; an outline that is drawn anew is tight only with --tight")
	m.set.BoolVar(&m.found, "found", false, "the edge that the search finds on the frame becomes the mask's outline there, tight; its further parts become masks of their own, its holes drop masks; of a mask with keys at other frames these work on the frame alone, and a rounded one with such keys is refused, since their curves would change")
	m.set.Var(&m.keepDab, "keep-dab", "a disc X,Y,R on the frame that the matte keeps, for the search of its masks; may be given several times")
	m.set.Var(&m.dropDab, "drop-dab", "a disc X,Y,R on the frame that the matte leaves out, for the search of its masks; may be given several times")
	m.set.BoolVar(&m.clearDabs, "clear-dabs", false, "take away the dabs that the search has on the frame, before new ones")
	m.set.Var(&m.way, "way", "how the outline goes from its key on the frame to the next: straight, step, curved, or follow, with the motion of the picture; on both sides of a stretch that follows, keys may have different numbers of corners; feather and opacity go straight there")
	m.set.Var(&m.before, "before", "what the outline does before its first key: hold, or follow the picture")
	m.set.Var(&m.after, "after", "what the outline does after its last key: hold, or follow the picture")
	m.set.StringVar(&m.spare, "spare", "", "keys without which a mask that follows stays within 2 pixels of what it is, 4 in its worst part: show prints them and changes nothing, remove takes them away")
	m.set.IntVar(&m.frame, "frame", 0, "number of the frame; the first without it")
	return m
}

// check says what of the flags is missing or does not go together.
func (f *maskFlags) check() error {
	switch {
	case f.matte == "":
		return misuse("found no --matte NAME, want the matte to draw a mask for")
	case isSet(f.set, "spare"):
		return f.checkSpare()
	case !f.changesMask() && !f.changesDabs():
		return misuse("found no --points, want three or more as \"X,Y X,Y X,Y\", or what to change of a mask that is there, such as --search")
	case !f.found:
		return nil
	}
	for _, other := range []string{"points", "rounded", "drop", "tight"} {
		if isSet(f.set, other) {
			return misuse("--%s has no meaning with --found: the edge that is found is the outline", other)
		}
	}
	return nil
}

// checkSpare says what of the flags does not go with spare keys.
func (f *maskFlags) checkSpare() error {
	switch {
	case f.spare != spareShow && f.spare != spareRemove:
		return misuse("--spare is %q, want show or remove", f.spare)
	case f.changesMask() || f.changesDabs() || isSet(f.set, "frame"):
		return misuse("--spare goes with --matte and --name alone: it is about all keys of the mask as it is")
	}
	return nil
}

// changesMask reports whether the call is about a mask, not only about dabs.
func (f *maskFlags) changesMask() bool {
	return f.anySet("points", "feather", "rounded", "drop", "search", "tight", "found", "way", "before", "after")
}

// changesDabs reports whether the call is about the dabs that searches have.
func (f *maskFlags) changesDabs() bool { return f.anySet("keep-dab", "drop-dab", "clear-dabs") }

func (f *maskFlags) anySet(names ...string) bool {
	for _, name := range names {
		if isSet(f.set, name) {
			return true
		}
	}
	return false
}

// An outline is a flag "X,Y X,Y X,Y...".
type outline []mask.Point

func (o *outline) String() string { return fmt.Sprint(*o) }

func (o *outline) Set(s string) error {
	*o = nil
	for i, pair := range strings.Fields(s) {
		x, y, err := numbers(pair, "X,Y")
		if err != nil {
			return fmt.Errorf("point %d: %w", i+1, err)
		}
		*o = append(*o, mask.Point{X: x, Y: y})
	}
	if len(*o) < 3 {
		return fmt.Errorf("found %d points, want three or more as \"X,Y X,Y X,Y\"", len(*o))
	}
	return nil
}

// A way is a flag that says how an outline goes to its next key.
type way struct{ mask.Way }

func (w *way) Set(s string) (err error) {
	w.Way, err = mask.ParseWay(s)
	return plainError(err)
}

// A beyond is a flag that says what an outline does before its first key or after its last.
type beyond struct{ mask.Beyond }

func (b *beyond) Set(s string) (err error) {
	b.Beyond, err = mask.ParseBeyond(s)
	return plainError(err)
}

// plainError is an error of package mask without its name: the flag's stands before it.
func plainError(err error) error {
	if err == nil {
		return nil
	}
	return errors.New(strings.TrimPrefix(err.Error(), "mask: "))
}

// numbers reads two of them, separated by a comma.
func numbers(s, want string) (a, b float64, err error) {
	first, second, ok := strings.Cut(s, ",")
	if !ok {
		return 0, 0, fmt.Errorf("found %q, want %s", s, want)
	}
	if a, err = number(first); err == nil {
		b, err = number(second)
	}
	return a, b, err
}

// A feather is a flag IN,OUT in pixels.
type feather struct{ inner, outer float64 }

func (f *feather) String() string {
	if f == nil {
		return ""
	}
	return fmt.Sprintf("%g,%g", f.inner, f.outer)
}

func (f *feather) Set(s string) (err error) {
	f.inner, f.outer, err = numbers(s, "IN,OUT in pixels")
	return err
}

// discs is a flag X,Y,R that may be given several times.
type discs []disc

func (d *discs) String() string { return fmt.Sprint(*d) }

func (d *discs) Set(s string) error {
	var one disc
	if err := one.Set(s); err != nil {
		return err
	}
	*d = append(*d, one)
	return nil
}
