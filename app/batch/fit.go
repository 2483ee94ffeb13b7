package batch

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"slices"

	"halocline/app/check"
	"halocline/app/check/shot"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/selection"
)

var fitVerb = verb{
	name: "fit", usage: "PICTURE|MOVIE|FOLDER|STUDY --keep MASK [--drop MASK] | --refit [--model auto|hsl|lch|plane] [--name NAME] [--add | --replace [--all-frames]] [--for pick|both] [--frame N] [--sequence] [--matrix NAME] [--range NAME] [--study OUT]",
	about: "Make a matte: soft ranges that keep what the keep mask shows and leave out what the drop mask shows. " +
		"A study's base applies, and the matte is added to it; a picture, or a folder's numbered sequence, gets a study beside it; of a clip the masks are of the first frame, or of --frame's. A hue range runs upward from its first number and may pass 360. " +
		"--model plane keeps what lies on one side of a plane in CIELAB: where that tells the dabs apart clearly better, each left out once, the fit offers it. " +
		"--replace puts the samples in place of the matte's dabs of that frame and fits it to them and to its dabs of other frames; --refit fits a matte to the dabs that it has, say after a change of base.",
	examples: []string{
		"halocline-batch fit transect.png --keep skin.keep.png --drop skin.drop.png --name skin",
		"halocline-batch fit transect.halocline --keep sand.keep.png --drop sand.drop.png --name sand --model hsl",
		"halocline-batch fit transect.halocline --refit --name sand",
		"halocline-batch fit transect.halocline --refit --name sand --model plane",
	},
	run: runFit,
}

type fitReport struct {
	Study      string            `json:"study"`
	Matte      string            `json:"matte"`
	Pick       pickReport        `json:"pick"`
	Agreement  float64           `json:"agreement"`
	LeftOut    leftOutReport     `json:"leftOut"`
	Dabs       int               `json:"dabsAdded"`
	Dropped    int               `json:"dabsDropped,omitempty"`
	Kept       int               `json:"dabsKept,omitempty"` // that were there, and that the fit is to as well
	Strays     *straysReport     `json:"strays,omitempty"`
	Notes      []string          `json:"notes"`
	Separation *separationReport `json:"separation,omitempty"`
	// Bite is what the pick leaves out of the inside of the matte's masks on the samples' frame.
	Bite *check.Bite `json:"bite,omitempty"`
}

// leftOutReport is how well each model did on dabs left out; null: not tried,
// or too few dabs.
type leftOutReport struct {
	HSL   *float64 `json:"hsl"`
	LCh   *float64 `json:"lch"`
	Plane *float64 `json:"plane"`
}

// fitFlags are the verb's.
type fitFlags struct {
	set                             *flag.FlagSet
	from                            sampleFlags
	name, out, use                  string
	add, replace, everywhere, refit bool
	footage                         footageFlags
}

func newFitFlags(c *call) *fitFlags {
	f := &fitFlags{set: c.newFlags()}
	f.from.add(f.set)
	f.set.StringVar(&f.name, "name", "matte", "of the new matte; with --add, --replace or --refit of the one that is meant")
	f.set.BoolVar(&f.add, "add", false, "add the samples to the dabs of the matte of that name, say from another frame, and fit it to all of them")
	f.set.BoolVar(&f.replace, "replace", false, "fit the matte of that name again: the samples take the place of its dabs of that frame; those of other frames, its masks, edge and smooth noise stay")
	f.set.BoolVar(&f.everywhere, "all-frames", false, "with --replace: its dabs of all frames go, and the fit is to the samples alone")
	f.set.BoolVar(&f.refit, "refit", false, "fit the matte of that name again to the dabs that it has, without samples")
	f.set.StringVar(&f.use, "for", "pick", "what the dabs are for: pick, its ranges; both, also the searches of the matte's masks for edges")
	f.set.StringVar(&f.out, "study", "", "study file to write, where it is not the one given or beside the picture")
	f.footage = addFootage(f.set)
	return f
}

// check says what of the flags does not go together.
func (f *fitFlags) check() error {
	switch {
	case f.use != "pick" && f.use != "both":
		return misuse("--for is %q, want pick or both; mask --keep-dab and --drop-dab give dabs to masks alone", f.use)
	case f.replace && f.add:
		return misuse("--replace and --add exclude each other")
	case f.everywhere && !f.replace:
		return misuse("--all-frames has no meaning without --replace")
	case !f.refit:
		return nil
	}
	for _, other := range []string{"keep", "drop", "add", "replace", "frame", "for"} {
		if isSet(f.set, other) {
			return misuse("--%s has no meaning with --refit: the matte has its dabs", other)
		}
	}
	return nil
}

func runFit(ctx context.Context, c *call) error {
	f := newFitFlags(c)
	args, err := c.parse(f.set, 1, 1)
	if err != nil {
		return err
	}
	if err := f.check(); err != nil {
		return err
	}
	fit, err := f.from.fitter()
	if err != nil {
		return err
	}
	if err := c.lockStudy(ctx, cmp.Or(f.out, args[0])); err != nil {
		return err
	}
	w, err := c.open(ctx, args[0], f.footage)
	if err != nil {
		return err
	}
	old := f.replace || f.add || f.refit
	settings, smooth, err := w.settingsToFit(f.name, old)
	if err != nil {
		return err
	}
	samples, stay, err := f.samples(ctx, w, settings)
	if err != nil {
		return err
	}
	c.tellStrays(f.from, samples)
	fitted, err := fit(samples.dabs)
	if err != nil {
		return err
	}
	matte, err := c.matteToFit(w, f.name, old)
	if err != nil {
		return err
	}
	report := fitReport{Dropped: len(matte.Dabs) - len(stay), Kept: len(stay), Strays: samples.strays.orNone()}
	c.tellFit(f, matte, report)
	fitted.Pick = matte.KeepFades(fitted.Pick, samples.frame)
	matte.Dabs = stay
	matte.TakeFit(fitted.Pick, samples.frame)
	matte.Pick.Smooth = smooth
	added, left := f.addDabs(samples, w.Study, matte)
	matte.Pick.Fitted = left == 0
	if left > 0 {
		c.notice("%d sampled areas are no discs: they shaped the fit, but are not kept as dabs", left)
	}
	if err := w.save(ctx, f.out); err != nil {
		return err
	}
	report.Study, report.Matte, report.Dabs = w.Path, matte.Name, added
	if err := report.take(fitted, samples); err != nil {
		return err
	}
	if report.Separation != nil && report.Separation.Offer != "" {
		c.notice("matte %q: %s --refit --model plane takes it", matte.Name, report.Separation.Offer)
	}
	if report.Bite, err = c.findBite(ctx, w, matte, samples); err != nil {
		return err
	}
	return c.printJSON(report)
}

// findBite measures how a pick that was fitted bites into its masks, and tells where it does.
func (c *call) findBite(ctx context.Context, w opened, m *study.Matte, samples masks) (*check.Bite, error) {
	frame := samples.frame
	if samples.keep == nil && len(m.Dabs) > 0 { // a refit
		frame = m.Dabs[0].Frame
	}
	b, err := shot.BiteOf(ctx, w.Renderer, render.Request{Study: w.Study, Settings: &m.Settings, Frame: frame}, samples.dabs)
	if words := b.Words(); words != "" {
		c.notice("matte %q on frame %d: %s", m.Name, frame, words)
	}
	return b, err
}

// take fills in what a fit found.
func (r *fitReport) take(fitted selection.Fitted, samples masks) error {
	r.Pick, r.Agreement = reportPick(fitted.Pick), fitted.Agreement
	r.LeftOut = leftOutReport{orNull(fitted.LeftOut[selection.HSL]), orNull(fitted.LeftOut[selection.LCh]), orNull(fitted.LeftOut[selection.PlaneModel])}
	r.Notes = append([]string{}, fitted.Notes...)
	if !samples.bothKinds() {
		return nil
	}
	measured, err := selection.MeasureSeparation(samples.dabs, fitted.Pick)
	if err != nil {
		return err
	}
	sep := reportSeparation(measured)
	r.Separation = &sep
	return nil
}

// samples returns what the fit is to: the areas of mask pictures, and the colours
// under those dabs of the matte that stay.
func (f *fitFlags) samples(ctx context.Context, w opened, settings *study.Settings) (m masks, stay []study.Dab, err error) {
	if !f.refit {
		if m, err = w.samples(ctx, f.from, settings); err != nil {
			return m, nil, err
		}
	}
	if !f.add && !f.replace && !f.refit {
		return m, nil, nil
	}
	matte, err := w.matte(f.name)
	if err != nil {
		return m, nil, err
	}
	stay = f.staying(matte.Dabs, m.frame)
	if f.refit && len(stay) == 0 {
		return m, nil, fmt.Errorf("batch: matte %q of %s has no dabs to fit it to, want samples with --keep MASK --replace", matte.Name, w.Path)
	}
	still := *matte
	still.Dabs = stay
	existing, err := w.Renderer.DabSamples(ctx, w.Study, &still)
	m.dabs = append(existing, m.dabs...)
	return m, stay, err
}

// staying returns those of a matte's dabs that stay where samples of a frame come.
func (f *fitFlags) staying(dabs []study.Dab, frame int) []study.Dab {
	return slices.DeleteFunc(slices.Clone(dabs), func(d study.Dab) bool {
		return f.replace && (f.everywhere || d.Frame == frame)
	})
}

// addDabs gives a matte the dabs that samples make, and where they are for both its masks'
// searches too, in place of those that --replace takes away.
func (f *fitFlags) addDabs(m masks, s *study.Study, to *study.Matte) (added, left int) {
	before := len(to.Dabs)
	added, left = m.addDabs(s, to)
	if f.use == "both" {
		to.MaskDabs = f.staying(to.MaskDabs, m.frame)
		for _, d := range to.Dabs[before:] {
			d.ID = s.NewID()
			to.MaskDabs = append(to.MaskDabs, d)
		}
	}
	return added, left
}

// tellFit tells what a fit of a matte that is there takes away or holds on to,
// before it does.
func (c *call) tellFit(f *fitFlags, m *study.Matte, r fitReport) {
	switch {
	case f.everywhere:
		c.notice("matte %q: its %d dabs of all frames are dropped", m.Name, r.Dropped)
	case f.replace && r.Kept > 0:
		c.notice("matte %q: its %d dabs of other frames stay, and the fit is to them too (--all-frames drops them)", m.Name, r.Kept)
	case m.Carried.HandFades:
		c.notice("matte %q was set by hand on clip %s: the fit takes the place of its ranges; its fades stay if the model does", m.Name, m.Carried.From)
	case f.refit && !m.Pick.Fitted:
		c.notice("matte %q: its ranges were set by hand; the fit to its dabs takes their place", m.Name)
	}
	if keyedPick(&m.Pick) {
		c.notice("matte %q had ranges with keys: the fit is for all frames and takes their place", m.Name)
	}
}

// keyedPick reports whether a range changes over time.
func keyedPick(p *study.Pick) bool {
	for i := range p.Limits {
		if p.Limits[i].Keyed() {
			return true
		}
	}
	return false
}

// settingsToFit returns whether the pick that a fit makes smooths noise, and whose
// settings say how it sees the picture: nil for a new matte.
func (w opened) settingsToFit(name string, old bool) (*study.Settings, bool, error) {
	if !old {
		return nil, true, nil
	}
	m, err := w.matte(name)
	if err != nil {
		return nil, false, err
	}
	return &m.Settings, m.Pick.Smooth, nil
}

// matteToFit returns the matte that a fit is for: a new one, or the one
// of that name, whose masks and edge stay.
func (c *call) matteToFit(w opened, name string, old bool) (*study.Matte, error) {
	if old {
		return w.matte(name)
	}
	m := w.Study.AddMatte(name, selection.LCh)
	if m.Name != name {
		c.notice("there is a matte %q: the new one is %q (--replace fits the old one again)", name, m.Name)
	}
	return m, nil
}
