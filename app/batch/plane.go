package batch

import (
	"context"
	"flag"
	"fmt"

	"halocline/app/study"
	"halocline/selection"
)

var planeVerb = verb{
	name: "plane", usage: "STUDY --matte NAME " + specsUsage(study.PlaneSpecs) + " [--all-but] [--frame N] [--key]",
	about: "Set the range of a pick by plane, as fit --model plane makes one. The level says where the plane lies along its direction, in Lab units; the weight is 0 up to --fade-before below it, 1 from --fade-after above it on, and a smooth step between. " +
		"What is not given stays. A range that has keys, and with --key any, gets a key at the first frame, or at --frame's.",
	examples: []string{
		"halocline-batch plane transect.halocline --matte skin --level 12 --fade-before 4",
		"halocline-batch plane transect.halocline --matte skin --level 15 --frame 90 --key",
	},
	run: runPlane,
}

type planeResult struct {
	Study string     `json:"study"`
	Matte string     `json:"matte"`
	Pick  pickReport `json:"pick"` // on the frame
}

func runPlane(ctx context.Context, c *call) error {
	f := c.newFlags()
	name := f.String("matte", "", "name of the matte")
	for _, s := range study.PlaneSpecs {
		addNumber(f, s)
	}
	allBut := f.Bool("all-but", false, "keep all but what lies on the keep side; --all-but=false ends that")
	onFrame, key := frameFlag(f), keyFlag(f)
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	if *name == "" {
		return misuse("found no --matte NAME, want the matte whose plane to set")
	}
	if err := c.lockStudy(ctx, args[0]); err != nil {
		return err
	}
	w, m, frame, err := c.openMatte(ctx, args[0], *name, f, onFrame)
	if err != nil {
		return err
	}
	if m.Pick.Model != selection.PlaneModel {
		return fmt.Errorf("batch: matte %q of %s is picked in %s, want a pick by plane (fit --refit --model plane makes it one)", m.Name, w.Path, m.Pick.Model)
	}
	applyPlane(f, &m.Pick, frame, *key)
	if isSet(f, "all-but") {
		m.Pick.Limits[selection.Across].Inverted, m.Pick.Fitted = *allBut, false
	}
	if err := w.save(ctx, ""); err != nil {
		return err
	}
	return c.printJSON(planeResult{w.Path, m.Name, reportPick(m.Pick.At(frame))})
}

// applyPlane sets what was given of a plane's range at a frame; with key a range without
// keys gets one there.
func applyPlane(f *flag.FlagSet, p *study.Pick, frame int, key bool) {
	across := &p.Limits[selection.Across]
	r, given := across.At(frame), false
	for _, s := range study.PlaneSpecs {
		if isSet(f, s.Flag()) {
			r, given = study.WithPlaneNumber(r, s.Name, f.Lookup(s.Flag()).Value.(flag.Getter).Get().(float64)), true
		}
	}
	if !given {
		return
	}
	if key {
		across.StartKeys(frame)
	}
	across.Set(frame, r)
	across.Off, p.Fitted = false, false
}
