package batch

import (
	"context"
	"flag"
	"fmt"
	"strings"

	"halocline/app/study"
	"halocline/selection"
)

var edgeVerb = verb{
	name: "edge", usage: "STUDY --matte NAME [--despeckle N] [--align R] [--harden F,B] [--grow G] [--soften S] [--frame N] [--key]",
	about: "Treat a matte's edge, in this order: despeckle takes specks and pinholes below N px of area, align leads it along the picture " +
		"within R px, harden makes it steeper by F in [0,0.99] about the alpha B, grow moves it G px outward (inward below 0), " +
		"soften blurs it with a sigma of S px. What is not given stays. A value that has keys, and with --key any, gets a key at the first frame, or at --frame's.",
	examples: []string{
		"halocline-batch edge transect.halocline --matte skin --despeckle 20 --soften 1.2",
		"halocline-batch edge transect.halocline --matte skin --harden 0.4,0.5 --grow -1",
	},
	run: runEdge,
}

type edgeResult struct {
	Study string     `json:"study"`
	Matte string     `json:"matte"`
	Edge  edgeReport `json:"edge"`
}

// edgeReport is an edge as it stands on one frame.
type edgeReport struct {
	Despeckle float64 `json:"despecklePixels"`
	Align     float64 `json:"alignPixels"`
	Harden    float64 `json:"harden"`
	About     float64 `json:"about"`
	Grow      float64 `json:"growPixels"`
	Soften    float64 `json:"softenPixels"`
}

func reportEdge(e selection.Edge) edgeReport {
	return edgeReport{e.Despeckle, e.Align, e.Harden, e.About, e.Grow, e.Soften}
}

// A hardening is a flag F or F,B.
type hardening struct {
	harden   float64
	about    float64
	hasAbout bool
}

func (f *hardening) String() string {
	if f == nil {
		return ""
	}
	return fmt.Sprintf("%g,%g", f.harden, f.about)
}

func (f *hardening) Set(s string) (err error) {
	harden, about, has := strings.Cut(s, ",")
	f.hasAbout = has
	if f.harden, err = number(harden); err != nil || !has {
		return err
	}
	f.about, err = number(about)
	return err
}

// edgeAbout says what the flags of single numbers set.
var edgeAbout = map[string]string{
	"despeckle": "specks and pinholes below so many pixels go",
	"align":     "radius in pixels within which the edge is led along the picture",
	"grow":      "pixels outward, inward below 0",
	"soften":    "sigma of the blur in pixels",
}

func runEdge(ctx context.Context, c *call) error {
	f := c.newFlags()
	name := f.String("matte", "", "name of the matte")
	for _, n := range []string{"despeckle", "align", "grow", "soften"} {
		f.Float64(n, 0, edgeAbout[n])
	}
	var harden hardening
	onFrame, key := frameFlag(f), keyFlag(f)
	f.Var(&harden, "harden", "F or F,B: harden by F about the alpha B, F in [0,0.99]")
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	if *name == "" {
		return misuse("found no --matte NAME, want the matte whose edge to treat")
	}
	w, err := c.openStudy(ctx, args[0])
	if err != nil {
		return err
	}
	m, err := w.matte(*name)
	if err != nil {
		return err
	}
	frame, err := w.frameOf(f, onFrame)
	if err != nil {
		return err
	}
	set := func(to *study.Number, v float64) {
		if *key {
			keyAt(frame, to)
		}
		to.Set(frame, v)
	}
	for n, to := range map[string]*study.Number{"despeckle": &m.Edge.Despeckle, "align": &m.Edge.Align, "grow": &m.Edge.Grow, "soften": &m.Edge.Soften} {
		if isSet(f, n) {
			set(to, f.Lookup(n).Value.(flag.Getter).Get().(float64))
		}
	}
	if isSet(f, "harden") {
		set(&m.Edge.Harden, harden.harden)
	}
	if harden.hasAbout {
		set(&m.Edge.About, harden.about)
	}
	if err := w.save(""); err != nil {
		return err
	}
	return c.printJSON(edgeResult{w.Path, m.Name, reportEdge(m.Edge.At(frame))})
}
