package batch

import (
	"context"

	"halocline/app/render"
	"halocline/selection"
)

var separateVerb = verb{
	name: "separate", usage: "PICTURE|STUDY --keep MASK --drop MASK [--model auto|hsl|lch] [--matte NAME]",
	about: "Say how far colour alone can part what the two masks show, by channel, by three ranges, and by the best plane in CIELAB. " +
		"With --matte, 'set' is that matte's pick; else a pick fitted to the masks. Nothing is written.",
	examples: []string{"halocline-batch separate transect.png --keep skin.keep.png --drop skin.drop.png"},
	run:      runSeparate,
}

func runSeparate(ctx context.Context, c *call) error {
	f := c.newFlags()
	keep := f.String("keep", "", "")
	drop := f.String("drop", "", "")
	model := f.String("model", "auto", "")
	name := f.String("matte", "", "")
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	fit, err := fitterOf(*model)
	if err != nil {
		return err
	}
	if *drop == "" {
		return misuse("found no --drop MASK, want a picture that is white on what to drop")
	}
	w, err := c.openWork(ctx, args[0])
	if err != nil {
		return err
	}
	picture, err := w.renderer.Picked(ctx, render.Request{Study: w.study, Frame: w.frame()})
	if err != nil {
		return err
	}
	samples, err := readMasks(ctx, picture, *keep, *drop)
	if err != nil {
		return err
	}
	dabs := samples.under(picture)
	var pick selection.Pick
	if *name != "" {
		m, err := w.matte(*name)
		if err != nil {
			return err
		}
		pick = m.Pick.At(w.frame())
	} else {
		fitted, err := fit(dabs)
		if err != nil {
			return err
		}
		pick = fitted.Pick
	}
	sep, err := selection.Separate(dabs, pick)
	if err != nil {
		return err
	}
	return c.printJSON(reportSeparation(sep))
}
