package batch

import (
	"context"

	"halocline/app/study"
	"halocline/selection"
)

var separationVerb = verb{
	name: "separation", usage: "PICTURE|MOVIE|FOLDER|STUDY --keep MASK --drop MASK [--model auto|hsl|lch|plane] [--matte NAME] [--frame N]",
	about: "Say how far colour alone tells what the two masks show apart, by channel, by three ranges, and by the best plane in CIELAB. " +
		"With --matte, 'set' is that matte's pick; else a pick fitted to the masks. Where a pick by plane does clearly better, each dab left out once, it is offered. Of a clip it is the first frame, or --frame's. Nothing is written.",
	examples: []string{"halocline-batch separation transect.png --keep skin.keep.png --drop skin.drop.png"},
	run:      runSeparation,
}

func runSeparation(ctx context.Context, c *call) error {
	f := c.newFlags()
	var from sampleFlags
	from.add(f)
	name := f.String("matte", "", "judge this matte's pick instead of a new fit")
	footage := addFootage(f)
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	fit, err := from.fitter()
	if err != nil {
		return err
	}
	if from.drop == "" {
		return misuse("found no --drop MASK, want a picture that is white on what to drop")
	}
	w, err := c.open(ctx, args[0], footage)
	if err != nil {
		return err
	}
	var settings *study.Settings // what the matte takes in does not count: it is about its own pick
	if *name != "" {
		m, err := w.matte(*name)
		if err != nil {
			return err
		}
		settings = &m.Settings
	}
	samples, err := w.samples(ctx, from, settings)
	if err != nil {
		return err
	}
	c.tellStrays(from, samples)
	var pick selection.Pick
	if settings != nil {
		pick = settings.Pick.At(samples.frame)
	} else {
		fitted, err := fit(samples.dabs)
		if err != nil {
			return err
		}
		pick = fitted.Pick
	}
	sep, err := selection.MeasureSeparation(samples.dabs, pick)
	if err != nil {
		return err
	}
	report := reportSeparation(sep)
	report.Strays = samples.strays.orNone()
	return c.printJSON(report)
}
