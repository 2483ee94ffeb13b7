package study

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// Bounds of what a study may hold. They are far beyond any real picture and
// keep a broken or hostile file from taking the machine down.
const (
	maxCount  = 1_000_000_000 // frames, frame numbers either way
	maxID     = 1 << 53       // the whole numbers that every JSON reader keeps
	maxPlace  = 1_000_000     // pixels from the origin
	maxFar    = 10_000        // pixels of feather and of a dab's radius
	maxPoints = 10_000        // of one polygon
	maxName   = 100           // characters
	maxNote   = 100_000       // characters
	maxPath   = 32_767        // characters
	maxMattes = 1000

	maxTrouble   = 40        // characters
	maxDismissed = 1_000_000 // flags

	// maxUnfolded is how many mattes one may be made of, with all that it takes in by every
	// way. Each is rendered at each frame, and a ladder of joins that meet again doubles them
	// with every rung. Each that settles trebles what it is made of.
	maxUnfolded = 256

	// settledFrames are the frame itself and the two beside it.
	settledFrames = 3
)

// Validate reports the first thing in the study that cannot be, naming where it
// stands, what was found and what was wanted.
func (s *Study) Validate() error {
	if err := s.check(); err != nil {
		return fmt.Errorf("study: %w", err)
	}
	return nil
}

func (s *Study) check() error {
	v := &validator{ids: map[int]bool{}, next: s.Next}
	v.in("clip", func() { v.clip(&s.Clip) })
	v.in("base", func() {
		v.input(s.Base.Input)
		v.water(s.Base.Water)
		v.settings(s.Base.Settings())
	})
	v.mattes(s.Mattes)
	if s.Next < 1 || s.Next > maxID {
		v.fail("next id is %d, want 1 to %d", s.Next, maxID)
	}
	v.extra(s.Extra)
	return v.err
}

// A validator keeps the first error, and the place it is looking at.
type validator struct {
	place string
	ids   map[int]bool
	next  int
	err   error
}

func (v *validator) in(place string, look func()) {
	if v.err != nil {
		return
	}
	outer := v.place
	v.place += place + ": "
	look()
	v.place = outer
}

func (v *validator) fail(format string, args ...any) {
	if v.err == nil {
		v.err = errors.New(v.place + fmt.Sprintf(format, args...))
	}
}

// number demands lo <= x <= hi; a NaN meets nothing.
func (v *validator) number(name string, x, lo, hi float64) {
	if !(lo <= x && x <= hi) {
		v.fail("%s is %s, want %s to %s", name, shortest(x), shortest(lo), shortest(hi))
	}
}

func (v *validator) whole(name string, x, lo, hi int) {
	if x < lo || x > hi {
		v.fail("%s is %d, want %d to %d", name, x, lo, hi)
	}
}

func (v *validator) frame(x int) { v.whole("frame", x, -maxCount, maxCount) }

func (v *validator) text(name, s string, most int) {
	switch {
	case !utf8.ValidString(s):
		v.fail("%s %q is not valid UTF-8", name, s)
	case strings.ContainsRune(s, 0):
		v.fail("%s %q holds a zero character", name, s)
	case utf8.RuneCountInString(s) > most:
		v.fail("%s has %d characters, want at most %d", name, utf8.RuneCountInString(s), most)
	}
}

// name demands a name that can be shown on one line and is free among taken,
// which holds keys of the names before it.
func (v *validator) name(s, key string, taken map[string]string) {
	v.text("name", s, maxName)
	switch other, twice := taken[key]; {
	case strings.TrimSpace(s) == "":
		v.fail("name is empty")
	case strings.ContainsFunc(s, unicode.IsControl):
		v.fail("name %q holds a control character", s)
	case twice && Fold(other) == Fold(s):
		v.fail("name %q is taken", s)
	case twice:
		v.fail("name %q would make the same file name as %q", s, other)
	}
	taken[key] = s
}

func (v *validator) id(id int) {
	switch {
	case id < 1:
		v.fail("id is %d, want 1 or more", id)
	case v.ids[id]:
		v.fail("id %d is taken", id)
	case id >= v.next:
		v.fail("id is %d, want below the next id, %d", id, v.next)
	}
	v.ids[id] = true
}

func (v *validator) clip(c *Clip) {
	v.id(c.ID)
	v.text("path", c.Path, maxPath)
	if c.Path == "" {
		v.fail("path is empty")
	}
	v.whole("first", c.First, 0, maxCount)
	v.whole("count", c.Count, 1, maxCount)
	v.whole("fps numerator", c.Rate[0], 0, maxCount)
	v.whole("fps denominator", c.Rate[1], 0, maxCount)
	if (c.Rate[0] == 0) != (c.Rate[1] == 0) {
		v.fail("fps is %d/%d, want both or neither", c.Rate[0], c.Rate[1])
	}
	for i, n := range c.Noise {
		v.number("noise "+channelNames[i], n, 0, 1)
	}
	if _, err := colour.LumaNamed(c.Matrix); c.Matrix != "" && err != nil {
		v.fail("matrix is %q, want one of %s", c.Matrix, strings.Join(colour.LumaNames(), ", "))
	}
	if _, err := colour.IsFull(c.Range); c.Range != "" && err != nil {
		v.fail("range is %q, want %s", c.Range, strings.Join(colour.RangeNames(), " or "))
	}
	v.footage(c.Footage)
}

func (v *validator) footage(f Footage) {
	if f.Size < 0 {
		v.fail("size is %d, want 0 or more", f.Size)
	}
	digits := strings.Trim(f.SHA256, "0123456789abcdef") == ""
	if f.SHA256 != "" && (!digits || len(f.SHA256) != 64) {
		v.fail("sha256 is %q, want 64 hexadecimal digits in lower case", f.SHA256)
	}
}

// input demands a known curve.
func (v *validator) input(t colour.Transfer) {
	if _, err := colour.ParseTransfer(t.String()); err != nil {
		v.fail("input is %v, want one of %s", t, strings.Join(colour.TransferNames(), ", "))
	}
}

// water demands a known water type, or none.
func (v *validator) water(name string) {
	if _, err := colour.WaterByName(name); name == "" || err == nil {
		return
	}
	v.fail("water is %q, want one of %s", name, strings.Join(colour.WaterNames(), ", "))
}

func (v *validator) extra(extra string) {
	if extra == "" {
		return
	}
	tree, err := parse([]byte(extra), 1)
	if err != nil {
		v.fail("extra: %v", err)
	} else if _, ok := tree.(*object); !ok {
		v.fail("extra is %s, want an object", describe(tree))
	}
}

func (v *validator) mattes(mattes []Matte) {
	v.whole("number of mattes", len(mattes), 0, maxMattes)
	names := map[string]string{}
	for i := range mattes {
		m := &mattes[i]
		v.in(fmt.Sprintf("matte %q", m.Name), func() {
			v.id(m.ID)
			v.name(m.Name, fileKey(m.Name), names)
			v.text("note", m.Note, maxNote)
			v.matteSettings(&m.Settings, v.ids)
			v.dabs(m.Dabs)
			v.proofs(m.Proofs)
			v.dismissed(m.Dismissed)
			v.carried(&m.Carried)
		})
	}
	v.joins(mattes)
}

// joins demands that mattes which are taken in exist, each once in a list, that they do not
// go round, and that they unfold to a bounded size.
func (v *validator) joins(mattes []Matte) {
	byID := map[int]*Matte{}
	for i := range mattes {
		byID[mattes[i].ID] = &mattes[i]
	}
	v.eachJoins(mattes, func(of *Matte, set *Settings) { v.joinList(byID, of, set.Joins) })
	if v.err != nil {
		return
	}
	if loop := (&Study{Mattes: mattes}).Circle(); loop != nil {
		v.fail("mattes take one another in, round and round: %s", strings.Join(quotedAll(loop), " takes in "))
		return
	}
	sizes := unfolded{byID: byID, known: map[int]int{}}
	v.eachJoins(mattes, func(of *Matte, set *Settings) {
		if n := sizes.of(set); n > maxUnfolded {
			v.fail("with all that it takes in, by every way, it is made of at least %d mattes, want at most %d", n, maxUnfolded)
		}
	})
}

// eachJoins looks at what each matte takes in, and at what each of its proofs does.
func (v *validator) eachJoins(mattes []Matte, look func(of *Matte, set *Settings)) {
	for i := range mattes {
		m := &mattes[i]
		v.in(fmt.Sprintf("matte %q", m.Name), func() {
			look(m, &m.Settings)
			for k := range m.Proofs {
				v.in(fmt.Sprintf("proof %q", m.Proofs[k].Name), func() { look(m, &m.Proofs[k].Settings) })
			}
		})
	}
}

// joinList checks what a matte or one of its proofs takes in.
func (v *validator) joinList(byID map[int]*Matte, of *Matte, joins []Join) {
	v.whole("number of joined mattes", len(joins), 0, maxUnfolded-1)
	seen := map[int]bool{}
	for _, j := range joins {
		if v.err != nil {
			return
		}
		switch with := byID[j.With]; {
		case with == nil:
			v.fail("takes in a matte with id %d, which is not there", j.With)
		case with == of:
			v.fail("takes in itself")
		case seen[j.With]:
			v.fail("takes in matte %q twice, want once", with.Name)
		case j.How < 0 || int(j.How) >= len(howNames):
			v.fail("takes in matte %q by %v, want one of %s", with.Name, j.How, strings.Join(howNames[:], ", "))
		}
		seen[j.With] = true
	}
}

// An unfolded counts mattes as a picture is made of them: one that is taken in by two ways
// counts twice, and one that settles is made on three frames. Joins must not go round.
type unfolded struct {
	byID  map[int]*Matte
	known map[int]int // by id
}

// of is the size of settings: one, and the sizes of all that they take in. What is
// too large counts as just that, so that no sum runs over.
func (u unfolded) of(set *Settings) int {
	n := 1
	for _, j := range set.Joins {
		size, ok := u.known[j.With]
		if !ok {
			size = min(u.of(&u.byID[j.With].Settings), maxUnfolded+1)
			u.known[j.With] = size
		}
		n += size
	}
	if set.Edge.Settles() {
		n *= settledFrames
	}
	return n
}

func quotedAll(names []string) (all []string) {
	for _, n := range names {
		all = append(all, strconv.Quote(n))
	}
	return all
}

func (v *validator) proofs(proofs []Proof) {
	names := map[string]string{}
	for i := range proofs {
		p := &proofs[i]
		v.in(fmt.Sprintf("proof %q", p.Name), func() {
			v.id(p.ID)
			v.name(p.Name, Fold(p.Name), names)
			v.text("note", p.Note, maxNote)
			v.matteSettings(&p.Settings, map[int]bool{}) // its masks have the ids of the matte's
		})
	}
}

// dismissed demands one flag a frame, by ascending frame.
func (v *validator) dismissed(all []Dismissed) {
	v.whole("number of dismissed flags", len(all), 0, maxDismissed)
	for i, d := range all {
		v.in(fmt.Sprintf("dismissed flag at frame %d", d.Frame), func() {
			v.frame(d.Frame)
			if i > 0 && d.Frame <= all[i-1].Frame {
				v.fail("stands after frame %d, want ascending frames", all[i-1].Frame)
			}
			v.text("trouble", d.Trouble, maxTrouble)
			v.number("badness", d.Badness, 0, math.MaxFloat64)
		})
	}
}

// matteSettings checks settings whose masks' ids must not be in ids.
func (v *validator) matteSettings(s *Settings, ids map[int]bool) {
	v.pick(&s.Pick)
	v.in("edge", func() { v.settings(s.Edge.Settings()) })
	v.in("trial", func() {
		v.settings(s.Trial.Settings())
		v.number(PivotSpec.Name, s.Trial.Pivot, PivotSpec.Min, PivotSpec.Max)
	})
	outer := v.ids
	v.ids = ids
	names := map[string]string{}
	for i := range s.Masks {
		m := &s.Masks[i]
		v.in(fmt.Sprintf("mask %q", m.Name), func() {
			v.id(m.ID)
			v.name(m.Name, Fold(m.Name), names)
			v.mask(m)
		})
	}
	v.dabs(s.MaskDabs)
	v.ids = outer
}

func (v *validator) settings(all []Setting) {
	for _, s := range all {
		track(v, s.Name, &s.Track.Track, func(name string, x float64) { v.number(name, x, s.Min, s.Max) })
	}
}

// track checks a track's value or keys by what check demands of a value, given
// the name to call it by.
func track[V any](v *validator, name string, t *Track[V], check func(string, V)) {
	if !t.Keyed() {
		check(name, t.Value)
	}
	for i, k := range t.Keys {
		v.key(name+" key", i, k.Frame, k.Way, func(i int) int { return t.Keys[i].Frame })
		check(fmt.Sprintf("%s at frame %d", name, k.Frame), k.Value)
		if v.err != nil {
			return
		}
	}
}

// key demands a known way and frames that rise.
func (v *validator) key(name string, i, frame int, way mask.Way, frameOf func(int) int) {
	v.frame(frame)
	if !way.OfNumbers() {
		v.fail("%s at frame %d: way is %v, want %s", name, frame, way, numbersWays)
	}
	if i > 0 && frameOf(i-1) >= frame {
		v.fail("%s at frame %d comes after that at frame %d, want rising frames", name, frame, frameOf(i-1))
	}
}

func (v *validator) pick(p *Pick) {
	switch {
	case p.Model < 0 || p.Model >= selection.Models:
		v.fail("model is %d, want hsl, lch or plane", int(p.Model))
		return
	case p.Model == selection.PlaneModel:
		v.plane(p)
		return
	case p.Normal != [3]float64{}:
		v.fail("normal is %v, want none in model %s", p.Normal, p.Model)
	}
	for c := range selection.Channels {
		track(v, c.Name(p.Model), &p.Limits[c].Track, func(name string, r selection.Range) {
			v.softRange(name, r, c, c.FullScale(p.Model))
		})
	}
}

// unitTolerance is how far the length of a plane's normal may be from 1: files have it with
// six decimals, and a hand that writes one has fewer.
const unitTolerance = 1e-3

// plane demands a direction of length 1, a level that colours can reach, fades that are not
// negative, and nothing on the channels that a plane has not.
func (v *validator) plane(p *Pick) {
	n := p.Normal
	if length := math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2]); !(math.Abs(length-1) <= unitTolerance) {
		v.fail("plane normal is %v, of length %.4g, want length 1", n, length)
	}
	for c := range selection.Channels {
		l := &p.Limits[c]
		if c != selection.Across {
			if !l.Off || l.Keyed() {
				v.fail("%s is on, want it off in model %s", c.Name(p.Model), p.Model)
			}
			continue
		}
		track(v, "plane", &l.Track, func(name string, r selection.Range) {
			v.number(name+" level", r.From, LevelSpec.Min, LevelSpec.Max)
			v.number(name+" fadeBefore", r.Before, DropFadeSpec.Min, DropFadeSpec.Max)
			v.number(name+" fadeAfter", r.After, KeepFadeSpec.Min, KeepFadeSpec.Max)
			if r.From != r.To {
				v.fail("%s is from %v to %v, want one level", name, r.From, r.To)
			}
		})
	}
}

// softRange demands ends within one full scale of the scale itself, so that a
// range may reach beyond what colours do, and fades that are not negative. On
// a line the ends must be in order.
func (v *validator) softRange(name string, r selection.Range, c selection.Channel, full float64) {
	v.number(name+" from", r.From, -full, 2*full)
	v.number(name+" to", r.To, -full, 2*full)
	v.number(name+" fadeBefore", r.Before, 0, full)
	v.number(name+" fadeAfter", r.After, 0, full)
	if c != selection.Hue && r.From > r.To {
		v.fail("%s from is %v, want at most to, %v", name, r.From, r.To)
	}
}

// mask demands what a study demands of numbers, then what the track itself does.
func (v *validator) mask(m *Mask) {
	v.kind(m.Kind)
	v.frame(m.In.Frame)
	v.frame(m.Out.Frame)
	for i := range m.Keys {
		k := &m.Keys[i]
		v.in(fmt.Sprintf("key at frame %d", k.Frame), func() { v.maskKey(k) })
		if v.err != nil {
			return
		}
	}
	if err := m.Track.Check(); err != nil {
		v.fail("%s", strings.TrimPrefix(err.Error(), "mask: "))
	}
}

// maskKey demands the bounds that are closer than a shape's own.
func (v *validator) maskKey(k *MaskKey) {
	v.frame(k.Frame)
	if len(k.Points) > maxPoints {
		v.fail("it has %d points, want at most %d", len(k.Points), maxPoints)
	}
	for i, p := range k.Points {
		if !near(p.X) || !near(p.Y) {
			v.fail("point %d is (%v, %v), want coordinates of -%d to %d", i+1, p.X, p.Y, maxPlace, maxPlace)
		}
	}
	v.number(InwardSpec.Name, k.Inner, InwardSpec.Min, InwardSpec.Max)
	v.number(OutwardSpec.Name, k.Outer, OutwardSpec.Min, OutwardSpec.Max)
}

func near(x float64) bool { return math.Abs(x) <= maxPlace }

func (v *validator) kind(k Kind) {
	if k != Keep && k != Drop {
		v.fail("kind is %v, want keep or drop", k)
	}
}

func (v *validator) dabs(dabs []Dab) {
	for i := range dabs {
		d := &dabs[i]
		v.in(fmt.Sprintf("dab %d", d.ID), func() {
			v.id(d.ID)
			v.frame(d.Frame)
			v.number("x", d.X, -maxPlace, maxPlace)
			v.number("y", d.Y, -maxPlace, maxPlace)
			v.number("radius", d.Radius, 0, maxFar)
			if d.Radius == 0 {
				v.fail("radius is 0, want more")
			}
			v.kind(d.Kind)
		})
	}
}
