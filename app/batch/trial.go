package batch

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"slices"
	"strings"

	"halocline/app/check"
	"halocline/app/check/seam"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

var trialVerb = verb{
	name: "trial", usage: "STUDY --matte NAME [--neutral] [--slope R,G,B] [--offset R,G,B] [--power R,G,B] [--saturation S] [--blue-orange X] [--green-magenta X] [--lightness X] [--contrast C] [--pivot P] [--off|--on] [--frame N] [--key]",
	about: "Try a grade through a matte, by the numbers of the ASC CDL, or by four controls that write its slopes and powers: blue-orange, green-magenta and lightness in stops, contrast as an exponent about a pivot. " +
		"What is not given stays; --neutral begins anew. Without flags, say how the trial stands. It tells by how many decibels the noise inside the matte changes, and in a sentence (verdict) how the grade sits in the picture: whether it spills over what looks like the drop dabs, lies beyond the masks' edge, stops short of what looks kept, or shows at its edge; where that cannot be told it says why. A value that has keys, and with --key any, gets a key at the first frame, or at --frame's. The matte reads nothing of it; export --kind trial shows it.",
	examples: []string{
		"halocline-batch trial transect.halocline --matte skin --slope 1.08,1.02,0.94 --saturation 1.1",
		"halocline-batch trial transect.halocline --matte water --lightness -0.15 --contrast 1.1",
		"halocline-batch trial transect.halocline --matte skin --off",
	},
	run: runTrial,
}

type trialResult struct {
	Study string      `json:"study"`
	Matte string      `json:"matte"`
	Trial trialReport `json:"trial"`
	// Noise is what the trial does to the noise of what the matte covers; nothing
	// where it changes nothing or no noise is known.
	Noise *noiseReport `json:"noise,omitempty"`
	// Verdict says in a sentence how the grade sits in the picture, Seam and Coverage by how much;
	// nothing where the trial changes nothing. Without Seam there is no edge to measure.
	Verdict  string         `json:"verdict,omitempty"`
	Seam     *seam.Figures  `json:"seam,omitempty"`
	Coverage *seam.Coverage `json:"coverage,omitempty"`
}

type noiseReport struct {
	Decibels float64    `json:"decibels"` // over 0 where the trial lifts noise
	Before   [3]float64 `json:"before"`   // standard deviations of red, green, blue, display encoded
	After    [3]float64 `json:"after"`
}

// trialReport is a trial as it stands on one frame.
type trialReport struct {
	Off        bool           `json:"off"`
	Slope      [3]float64     `json:"slope"` // red, green, blue
	Offset     [3]float64     `json:"offset"`
	Power      [3]float64     `json:"power"`
	Saturation float64        `json:"saturation"`
	Controls   controlsReport `json:"controls"`
}

// controlsReport is what the controls read.
type controlsReport struct {
	BlueOrange   float64 `json:"blueOrangeStops"`
	GreenMagenta float64 `json:"greenMagentaStops"`
	Lightness    float64 `json:"lightnessStops"`
	Contrast     float64 `json:"contrast"`
	Pivot        float64 `json:"pivot"` // of contrast, as the study keeps it
	// LeftOver tells that the numbers say more than the controls can.
	LeftOver bool `json:"leftOver"`
}

func reportTrial(t study.TrialAt, pivot float64) trialReport {
	k, leftOver := t.CDL().Controls(pivot)
	k = k.Rounded()
	return trialReport{
		t.Off, t.Slope, t.Offset, t.Power, t.Saturation,
		controlsReport{k.BlueOrange, k.GreenMagenta, k.Lightness, k.Contrast, pivot, leftOver},
	}
}

// A triple is a flag R,G,B, or one number for all three.
type triple [3]float64

func (v *triple) String() string {
	if v == nil {
		return ""
	}
	return fmt.Sprintf("%g,%g,%g", v[0], v[1], v[2])
}

func (v *triple) Set(s string) error {
	parts := strings.Split(s, ",")
	if len(parts) == 1 {
		parts = slices.Repeat(parts, 3)
	}
	if len(parts) != 3 {
		return fmt.Errorf("want three numbers R,G,B, or one for all")
	}
	for i, part := range parts {
		x, err := number(part)
		if err != nil {
			return err
		}
		v[i] = x
	}
	return nil
}

// trialFlags are what the verb may set.
type trialFlags struct {
	set                  *flag.FlagSet
	matte                *string
	neutral, off, on     *bool
	slope, offset, power triple
	saturation, pivot    *float64
	frame                *int
	key                  *bool
}

func newTrialFlags(c *call) *trialFlags {
	t := &trialFlags{set: c.newFlags()}
	f := t.set
	t.matte = f.String("matte", "", "name of the matte")
	t.neutral = f.Bool("neutral", false, "begin with the grade that changes nothing")
	for name, to := range map[string]*triple{"slope": &t.slope, "offset": &t.offset, "power": &t.power} {
		red := study.SettingNamed(new(study.Trial).Settings(), name+"Red")
		*to = triple{red.Neutral, red.Neutral, red.Neutral}
		f.Var(to, name, sentence(red.Hint)+"; red, green and blue, or one for all")
	}
	t.saturation = addNumber(f, study.SettingNamed(new(study.Trial).Settings(), "saturation").Spec)
	for _, k := range study.Controls {
		addNumber(f, k.Spec)
	}
	t.pivot = addNumber(f, study.PivotSpec)
	t.off = f.Bool("off", false, "leave the trial out, and keep its numbers")
	t.on = f.Bool("on", false, "let the trial grade again")
	t.frame, t.key = frameFlag(f), keyFlag(f)
	return t
}

func runTrial(ctx context.Context, c *call) error {
	t := newTrialFlags(c)
	args, err := c.parse(t.set, 1, 1)
	if err != nil {
		return err
	}
	switch {
	case *t.matte == "":
		return misuse("found no --matte NAME, want the matte whose trial is meant")
	case *t.off && *t.on:
		return misuse("found --off and --on, want one of them")
	}
	if err := study.PivotSpec.Check(*t.pivot); err != nil {
		return misuse("--%v", err)
	}
	if t.asked() {
		if err := c.lockStudy(ctx, args[0]); err != nil {
			return err
		}
	}
	w, m, frame, err := c.openMatte(ctx, args[0], *t.matte, t.set, t.frame)
	if err != nil {
		return err
	}
	if t.asked() { // else the trial is only told
		if err := t.apply(&m.Trial, frame); err != nil {
			return err
		}
		if err := w.save(ctx, ""); err != nil {
			return err
		}
	}
	noise, err := w.trialNoise(ctx, m, frame)
	if err != nil {
		return err
	}
	told := trialResult{Study: w.Path, Matte: m.Name, Trial: reportTrial(m.Trial.At(frame), m.Trial.Pivot), Noise: noise}
	if err := w.judgeTrial(ctx, &told, m, frame); err != nil {
		return err
	}
	return c.printJSON(told)
}

// judgeTrial puts into a result how a matte's trial sits in the picture; nothing where it changes
// nothing.
func (w opened) judgeTrial(ctx context.Context, told *trialResult, m *study.Matte, frame int) error {
	if !m.Trial.At(frame).Grades() {
		return nil
	}
	f, err := seam.On(ctx, w.Renderer, render.Request{Study: w.Study, Settings: &m.Settings, Frame: frame}, 0)
	if none := (seam.NoneError{}); errors.As(err, &none) {
		told.Verdict = none.Verdict().String()
		return nil
	}
	if err != nil {
		return err
	}
	figures, err := f.Judge(ctx, 0)
	if err != nil {
		return err
	}
	dabs, err := w.Renderer.DabSamples(ctx, w.Study, m)
	if err != nil {
		return err
	}
	cover, err := f.Coverage(ctx, dabs, 0)
	if err != nil {
		return err
	}
	told.Verdict, told.Seam, told.Coverage = seam.VerdictOn(figures, &cover).String(), &figures, &cover
	return nil
}

// trialNoise predicts what a matte's trial does to noise.
func (w opened) trialNoise(ctx context.Context, m *study.Matte, frame int) (*noiseReport, error) {
	at := m.Trial.At(frame)
	if !at.Grades() {
		return nil, nil
	}
	q := render.Request{Study: w.Study, Settings: &m.Settings, Frame: frame}
	shown, matte, err := w.Renderer.Cutout(ctx, q)
	if err != nil {
		return nil, err
	}
	n, err := check.PredictNoise(shown, matte, w.Study.Base.At(frame), w.Study.Clip.Noise, at.CDL())
	if n == nil || err != nil {
		return nil, err
	}
	return &noiseReport{n.Decibels, n.Before, n.After}, nil
}

// trialControls are the flags of the four controls.
func trialControls() (names []string) {
	for _, k := range study.Controls {
		names = append(names, k.Flag())
	}
	return names
}

func (t *trialFlags) given(names ...string) bool {
	return slices.ContainsFunc(names, func(n string) bool { return isSet(t.set, n) })
}

// asked reports whether anything of the trial was given.
func (t *trialFlags) asked() bool {
	return t.given("neutral", "slope", "offset", "power", "saturation", "pivot", "off", "on") || t.given(trialControls()...)
}

// apply puts what was given into a trial: the numbers first, then the controls.
func (t *trialFlags) apply(to *study.Trial, frame int) error {
	d, err := t.grade(to.At(frame).CDL(), to.Pivot)
	if err != nil {
		return err
	}
	if t.given("pivot") {
		to.Pivot = *t.pivot
	}
	if *t.key {
		t.keyGiven(to, frame)
	}
	if *t.off || *t.on {
		to.Off = *t.off
	}
	return to.SetCDL(frame, d)
}

// grade puts what was given into a grade whose contrast is about a pivot. Another
// pivot leaves what the controls read, and changes the numbers.
func (t *trialFlags) grade(d colour.CDL, pivot float64) (colour.CDL, error) {
	if *t.neutral {
		d = colour.NeutralCDL()
	}
	for name, set := range map[string]func(){
		"slope":      func() { d.Slope = t.slope },
		"offset":     func() { d.Offset = t.offset },
		"power":      func() { d.Power = t.power },
		"saturation": func() { d.Saturation = *t.saturation },
	} {
		if t.given(name) {
			set()
		}
	}
	if err := d.Check(); err != nil {
		return d, misuse("%v", err)
	}
	if !t.given("pivot") && !t.given(trialControls()...) {
		return d, nil
	}
	k, _ := d.Controls(pivot)
	for _, c := range study.Controls {
		if t.given(c.Flag()) {
			*c.Of(&k) = t.set.Lookup(c.Flag()).Value.(flag.Getter).Get().(float64)
		}
	}
	if t.given("pivot") {
		pivot = *t.pivot
	}
	d, err := d.WithControls(k, pivot)
	if err != nil {
		return d, misuse("%v", err)
	}
	return d, nil
}

// keyGiven gives the numbers that the flags set a key, also where they set them
// to what they are.
func (t *trialFlags) keyGiven(to *study.Trial, frame int) {
	all := map[string]bool{
		"slope":      t.given("neutral", "slope", "pivot") || t.given(trialControls()...),
		"offset":     t.given("neutral", "offset"),
		"power":      t.given("neutral", "power", "contrast"),
		"saturation": t.given("neutral", "saturation"),
	}
	for _, s := range to.Settings() {
		name, _, _ := strings.Cut(s.Label, " ")
		if all[name] {
			keyAsItIs(frame, s.Track)
		}
	}
}

// keyAsItIs gives a setting a key at a frame of the value that it has there.
func keyAsItIs(frame int, n *study.Number) {
	n.Set(frame, n.At(frame))
	n.StartKeys(frame)
}
