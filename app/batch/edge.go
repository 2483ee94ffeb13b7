package batch

import (
	"context"

	"halocline/app/study"
)

var edgeVerb = verb{
	name: "edge", usage: "STUDY --matte NAME " + settingsUsage(new(study.Edge).Settings()) + " [--frame N] [--key]",
	about: "Treat a matte's edge, in the order of the flags. What is not given stays. " +
		"--settle, in [0,1], takes the mean with the mattes of the frames beside, carried along the motion: it steadies a matte that flickers. " +
		"A value that has keys, and with --key any, gets a key at the first frame, or at --frame's.",
	examples: []string{
		"halocline-batch edge transect.halocline --matte skin --despeckle 20 --soften 1.2",
		"halocline-batch edge transect.halocline --matte skin --harden 0.4 --grow -1",
		"halocline-batch edge transect.halocline --matte skin --settle 0.5",
	},
	run: runEdge,
}

type edgeResult struct {
	Study string     `json:"study"`
	Matte string     `json:"matte"`
	Edge  edgeReport `json:"edge"`
}

// edgeReport is an edge as it stands on one frame, its numbers named as in a
// study's file.
type edgeReport map[string]float64

func reportEdge(e *study.Edge, frame int) edgeReport {
	r := edgeReport{}
	for _, s := range e.Settings() {
		r[s.Name] = s.Track.At(frame)
	}
	return r
}

func runEdge(ctx context.Context, c *call) error {
	f := c.newFlags()
	name := f.String("matte", "", "name of the matte")
	addSettings(f, new(study.Edge).Settings())
	onFrame, key := frameFlag(f), keyFlag(f)
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	if *name == "" {
		return misuse("found no --matte NAME, want the matte whose edge to treat")
	}
	if err := c.lockStudy(ctx, args[0]); err != nil {
		return err
	}
	w, m, frame, err := c.openMatte(ctx, args[0], *name, f, onFrame)
	if err != nil {
		return err
	}
	applySettings(f, m.Edge.Settings(), frame, *key)
	if err := w.save(ctx, ""); err != nil {
		return err
	}
	return c.printJSON(edgeResult{w.Path, m.Name, reportEdge(&m.Edge, frame)})
}
