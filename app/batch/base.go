package batch

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"slices"
	"strings"

	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
)

var baseVerb = verb{
	name: "base", usage: "STUDY|PICTURE|MOVIE|FOLDER [--grey X,Y,R] [--water X,Y,R] [--black X,Y,R | --no-black] [--input CURVE] [--type NAME] " + settingsUsage(baseNumbers(new(study.Base))) + " [--frame N] [--key] [--sequence] [--matrix NAME] [--range NAME] [--study OUT] | STUDY --clf OUT.clf [--frames A-B,C | --frame N] [--overwrite]",
	about: "Set light and take the water's cast out, before any pick; without flags, say how the base stands. --water samples open water for the veil, " +
		"--black takes nine tenths of the darkest light in a disc, with something black in it at the distance of what matters, for the water's light in between; it takes the place of the veil and needs no path length; --no-black gives the veil its place back. " +
		"--input names the curve of a log or flat source, --type and --path say how much water lies between, --grey samples a grey thing for white balance. What is not given stays. The first frame is sampled, or --frame's; a value that has keys, and with --key any, gets a key there. " +
		"--clf writes base as process lists of the Common LUT Format (Academy S-2014-006), for who has the clip and the mattes but not base: " +
		"one file for frames one after the other that have one base, with the first frame in its name where there are several; a file that is there with other bytes is not replaced without --overwrite. " +
		"Who grades applies them in this order: the list to the clip's pictures, then the matte, then through it the trial's CDL (cdl --write).",
	examples: []string{
		"halocline-batch base transect.halocline --grey 812,604,10 --water 640,60,20 --type IB --path 2.5",
		"halocline-batch base transect.halocline --black 700,420,30 --grey 812,604,10",
		"halocline-batch base transect.halocline --exposure 0.4 --contrast 1.1",
		"halocline-batch base transect.halocline --clf transect-base.clf",
	},
	run: runBase,
}

type baseResult struct {
	Study string     `json:"study"`
	Base  baseReport `json:"base"`
	// Grey is what the grey sample has become: R, G, B display encoded, and
	// (largest - smallest) / mean of the linear light.
	Grey   *[3]float64 `json:"grey,omitempty"`
	Spread *float64    `json:"greySpread,omitempty"`
	// BeyondRepair is the share of pixels that no base can bring back.
	BeyondRepair float64  `json:"beyondRepair"`
	Notes        []string `json:"notes"`
}

// baseFlags are what the verb may set.
type baseFlags struct {
	set                *flag.FlagSet
	grey, water, black disc
	input, kind        string
	noBlack            bool
	frame              *int
	key                *bool
	footage            footageFlags
	out                string
	clf                clfFlags
}

// baseNumbers are the numbers of a base that have a flag each; those of the three
// channels come from samples.
func baseNumbers(b *study.Base) []study.Setting {
	return slices.DeleteFunc(b.Settings(), func(s study.Setting) bool {
		return strings.HasPrefix(s.Name, "gain") || strings.HasPrefix(s.Name, "veil") || strings.HasPrefix(s.Name, "black")
	})
}

func newBaseFlags(c *call) *baseFlags {
	b := &baseFlags{set: c.newFlags()}
	b.set.Var(&b.grey, "grey", "disc X,Y,R on something grey, in pixels")
	b.set.Var(&b.water, "water", "disc X,Y,R on open water, in pixels")
	b.set.Var(&b.black, "black", "disc X,Y,R with something black in it, in pixels")
	b.set.BoolVar(&b.noBlack, "no-black", false, "take the black away again: the veil counts")
	b.set.StringVar(&b.input, "input", "", "the source's curve: "+strings.Join(colour.TransferNames(), ", "))
	b.set.StringVar(&b.kind, "type", "", "Jerlov's water type: I, IA, IB, II, III, 1C to 9C")
	addSettings(b.set, baseNumbers(new(study.Base)))
	b.frame, b.key = frameFlag(b.set), keyFlag(b.set)
	b.footage = addFootage(b.set)
	b.set.StringVar(&b.out, "study", "", "study file to write, where it is not the one given or beside the picture")
	b.clf.add(b.set)
	return b
}

func runBase(ctx context.Context, c *call) error {
	b := newBaseFlags(c)
	args, err := c.parse(b.set, 1, 1)
	if err != nil {
		return err
	}
	if b.noBlack && b.black.set {
		return misuse("--black and --no-black exclude each other")
	}
	if err := b.checkCLF(); err != nil {
		return err
	}
	if isSet(b.set, "clf") {
		return c.writeCLF(ctx, args[0], b)
	}
	if b.asked() {
		if err := c.lockStudy(ctx, cmp.Or(b.out, args[0])); err != nil {
			return err
		}
	}
	w, err := c.open(ctx, args[0], b.footage)
	if err != nil {
		return err
	}
	frame, err := w.frameOf(b.set, b.frame)
	if err != nil {
		return err
	}
	src, err := w.Renderer.Source(ctx, w.Study, frame)
	if err != nil {
		return err
	}
	result := baseResult{Notes: []string{}}
	if b.asked() { // else the base is only told
		if result.Notes, err = b.change(ctx, w, frame, src); err != nil {
			return err
		}
	}
	base := w.Study.Base.At(frame)
	result.Study, result.Base = w.Path, reportBase(w.Study, frame)
	if b.grey.set {
		grey, spread := greyAfter(src, base, b.grey)
		result.Grey, result.Spread = &grey, &spread
	}
	var repair colour.Plane
	if result.BeyondRepair, err = colour.BeyondRepair(ctx, &repair, src, base, w.Study.Clip.Noise, 0); err != nil {
		return err
	}
	return c.printJSON(result)
}

// asked reports whether anything of the base was given.
func (b *baseFlags) asked() (any bool) {
	b.set.Visit(func(f *flag.Flag) {
		switch f.Name {
		case "frame", "key", "sequence", "matrix", "range", "study", "clf", "frames", "overwrite":
		default:
			any = true
		}
	})
	return any
}

// change puts what was given into the work's base and saves it.
func (b *baseFlags) change(ctx context.Context, w opened, frame int, src *colour.Image) ([]string, error) {
	notes, err := b.apply(&w.Study.Base, frame, src)
	if err != nil {
		return nil, err
	}
	if err := w.Study.Base.At(frame).Check(); err != nil {
		return nil, misuse("%v", err)
	}
	notes = append([]string{}, notes...)
	for _, m := range w.Study.Mattes {
		how := "--refit"
		if len(m.Dabs) == 0 {
			how = "--replace"
		}
		notes = append(notes, fmt.Sprintf("matte %q was made before this change of the base: fit it again (fit %s --name %s)", m.Name, how, m.Name))
	}
	return notes, w.save(ctx, b.out)
}

// apply puts what was given into a base: light first, then the water and the black, then
// the grey, whose gains depend on all of them.
func (b *baseFlags) apply(base *study.Base, frame int, src *colour.Image) (notes []string, err error) {
	applySettings(b.set, baseNumbers(base), frame, *b.key)
	if b.input != "" {
		if base.Input, err = colour.ParseTransfer(b.input); err != nil {
			return nil, misuse("--input: %s", strings.TrimPrefix(err.Error(), "colour: "))
		}
	}
	if b.kind != "" {
		if _, err := colour.WaterByName(b.kind); err != nil {
			return nil, err
		}
		base.Water = b.kind
	}
	if b.water.set {
		notes, err = b.applyWater(base, frame, src)
	}
	if b.noBlack {
		for i := range base.Black {
			base.Black[i].Fix(0)
		}
	}
	if err == nil && b.black.set {
		err = b.applyBlack(base, frame, src)
	}
	if err == nil && b.grey.set {
		err = b.applyGrey(base, frame, src)
	}
	return notes, err
}

// keyed gives settings a key at the frame where --key asks for that.
func (b *baseFlags) keyed(frame int, all ...*study.Number) {
	if *b.key {
		for _, n := range all {
			n.StartKeys(frame)
		}
	}
}

func (b *baseFlags) applyWater(base *study.Base, frame int, src *colour.Image) (notes []string, err error) {
	light, err := sampled(base.At(frame), src, b.water, "water")
	if err != nil {
		return nil, err
	}
	b.keyed(frame, &base.Veil[0], &base.Veil[1], &base.Veil[2])
	tookType, tookPath := work.SetOpenWater(base, frame, light)
	if tookType {
		notes = append(notes, fmt.Sprintf("no --type was given: water type %s is taken", work.StartWater))
	}
	if tookPath {
		notes = append(notes, fmt.Sprintf("no --path was given: %d m is a guess. Too long a path turns sand orange", work.StartPath))
	}
	return notes, nil
}

func (b *baseFlags) applyBlack(base *study.Base, frame int, src *colour.Image) error {
	darkest, n := base.At(frame).Darkest(src, b.black.x, b.black.y, b.black.radius)
	if n == 0 {
		return offPicture("black", b.black, src)
	}
	b.keyed(frame, &base.Black[0], &base.Black[1], &base.Black[2])
	work.SetBlack(base, frame, darkest)
	return nil
}

func (b *baseFlags) applyGrey(base *study.Base, frame int, src *colour.Image) error {
	light, err := sampled(base.At(frame), src, b.grey, "grey")
	if err != nil {
		return err
	}
	b.keyed(frame, &base.Gain[0], &base.Gain[1], &base.Gain[2])
	return work.SetGrey(base, frame, light)
}

func sampled(base colour.Base, src *colour.Image, d disc, name string) ([3]float64, error) {
	light, n := base.Sample(src, d.x, d.y, d.radius)
	if n == 0 {
		return light, offPicture(name, d, src)
	}
	return light, nil
}

// offPicture is the error of a disc that has no pixel of the picture.
func offPicture(name string, d disc, src *colour.Image) error {
	w, h := src.Size()
	return fmt.Errorf("batch: --%s %s lies outside the picture, want a place within %d x %d", name, d.String(), w, h)
}

// greyAfter returns what a base makes of the grey sample.
func greyAfter(src *colour.Image, base colour.Base, at disc) (encoded [3]float64, spread float64) {
	light, _ := base.Sample(src, at.x, at.y, at.radius)
	c := base.LightColour(light)
	r, g, b := colour.Linear(c.R), colour.Linear(c.G), colour.Linear(c.B)
	if mean := (r + g + b) / 3; mean > 0 {
		spread = (max(r, g, b) - min(r, g, b)) / mean
	}
	return [3]float64{c.R, c.G, c.B}, spread
}
