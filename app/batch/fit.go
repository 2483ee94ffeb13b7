package batch

import (
	"cmp"
	"context"

	"halocline/app/study"
	"halocline/selection"
)

var fitVerb = verb{
	name: "fit", usage: "PICTURE|MOVIE|FOLDER|STUDY --keep MASK [--drop MASK] [--model auto|hsl|lch] [--name NAME] [--replace | --add] [--frame N] [--sequence] [--matrix NAME] [--range NAME] [--study OUT]",
	about: "Make a matte: soft ranges that keep what the keep mask shows and leave out what the drop mask shows. " +
		"A study's base applies, and the matte is added to it; a picture, or a folder's numbered sequence, gets a study beside it; of a clip the masks are of the first frame, or of --frame's. A hue range runs upward from its first number and may pass 360.",
	examples: []string{
		"halocline-batch fit transect.png --keep skin.keep.png --drop skin.drop.png --name skin",
		"halocline-batch fit transect.halocline --keep sand.keep.png --drop sand.drop.png --name sand --model hsl",
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
	Notes      []string          `json:"notes"`
	Separation *separationReport `json:"separation,omitempty"`
}

// leftOutReport is how well each model did on dabs left out; null: not tried,
// or too few dabs.
type leftOutReport struct {
	HSL *float64 `json:"hsl"`
	LCh *float64 `json:"lch"`
}

func runFit(ctx context.Context, c *call) error {
	f := c.newFlags()
	var from sampleFlags
	from.add(f)
	name := f.String("name", "matte", "of the new matte")
	add := f.Bool("add", false, "add the samples to the dabs of the matte of that name, say from another frame, and fit it to all of them")
	replace := f.Bool("replace", false, "fit the matte of that name again; its masks, edge and smooth noise stay")
	out := f.String("study", "", "study file to write, where it is not the one given or beside the picture")
	footage := addFootage(f)
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	if *replace && *add {
		return misuse("--replace and --add exclude each other")
	}
	fit, err := from.fitter()
	if err != nil {
		return err
	}
	if err := c.lockStudy(ctx, cmp.Or(*out, args[0])); err != nil {
		return err
	}
	w, err := c.open(ctx, args[0], footage)
	if err != nil {
		return err
	}
	old := *replace || *add
	settings, smooth, err := w.settingsToFit(*name, old)
	if err != nil {
		return err
	}
	samples, err := w.samples(ctx, from, settings)
	if err != nil {
		return err
	}
	if *add {
		if err := w.addExisting(ctx, *name, &samples); err != nil {
			return err
		}
	}
	fitted, err := fit(samples.dabs)
	if err != nil {
		return err
	}
	matte, err := c.matteToFit(w, *name, old)
	if err != nil {
		return err
	}
	if *replace {
		matte.Dabs = nil
	}
	if old && keyedPick(&matte.Pick) {
		c.notice("matte %q had ranges with keys: the fit is for all frames and takes their place", matte.Name)
	}
	matte.Pick = study.ConstantPick(fitted.Pick, smooth)
	added, left := samples.addDabs(w.Study, matte)
	matte.Pick.Fitted = left == 0
	if left > 0 {
		c.notice("%d sampled areas are no discs: they shaped the fit, but are not kept as dabs", left)
	}
	if err := w.save(ctx, *out); err != nil {
		return err
	}
	report := fitReport{
		Study: w.Path, Matte: matte.Name, Pick: reportPick(fitted.Pick), Agreement: fitted.Agreement,
		LeftOut: leftOutReport{orNull(fitted.LeftOut[selection.HSL]), orNull(fitted.LeftOut[selection.LCh])},
		Dabs:    added, Notes: append([]string{}, fitted.Notes...),
	}
	if samples.bothKinds() {
		sep, err := selection.MeasureSeparation(samples.dabs, fitted.Pick)
		if err != nil {
			return err
		}
		r := reportSeparation(sep)
		report.Separation = &r
	}
	return c.printJSON(report)
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
