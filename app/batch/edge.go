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
	name: "edge", usage: "STUDY --matte NAME [--despeckle N] [--follow R] [--firm F,B] [--grow G] [--soften S] [--frame N] [--key]",
	about: "Treat a matte's edge, in this order: despeckle takes specks and pinholes below N px of area, follow leads it along the picture " +
		"within R px, firm hardens it by F in [0,0.99] about the alpha B, grow moves it G px outward (inward below 0), " +
		"soften blurs it with a sigma of S px. What is not given stays. A value that has keys, and with --key any, gets a key at the first frame, or at --frame's.",
	examples: []string{
		"halocline-batch edge transect.halocline --matte skin --despeckle 20 --soften 1.2",
		"halocline-batch edge transect.halocline --matte skin --firm 0.4,0.5 --grow -1",
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
	Follow    float64 `json:"followPixels"`
	Firm      float64 `json:"firm"`
	Balance   float64 `json:"balance"`
	Grow      float64 `json:"growPixels"`
	Soften    float64 `json:"softenPixels"`
}

func reportEdge(e selection.Edge) edgeReport {
	return edgeReport{e.Despeckle, e.Align, e.Harden, e.About, e.Grow, e.Soften}
}

// A firmness is a flag F or F,B.
type firmness struct {
	firm       float64
	balance    float64
	hasBalance bool
}

func (f *firmness) String() string {
	if f == nil {
		return ""
	}
	return fmt.Sprintf("%g,%g", f.firm, f.balance)
}

func (f *firmness) Set(s string) (err error) {
	firm, balance, has := strings.Cut(s, ",")
	f.hasBalance = has
	if f.firm, err = number(firm); err != nil || !has {
		return err
	}
	f.balance, err = number(balance)
	return err
}

// edgeAbout says what the flags of single numbers set.
var edgeAbout = map[string]string{
	"despeckle": "specks and pinholes below so many pixels go",
	"follow":    "radius in pixels within which the edge follows the picture",
	"grow":      "pixels outward, inward below 0",
	"soften":    "sigma of the blur in pixels",
}

func runEdge(ctx context.Context, c *call) error {
	f := c.newFlags()
	name := f.String("matte", "", "name of the matte")
	for _, n := range []string{"despeckle", "follow", "grow", "soften"} {
		f.Float64(n, 0, edgeAbout[n])
	}
	var firm firmness
	onFrame, key := frameFlag(f), keyFlag(f)
	f.Var(&firm, "firm", "hardness F or F,B about the alpha B, F in [0,0.99]")
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
	for n, to := range map[string]*study.Number{"despeckle": &m.Edge.Despeckle, "follow": &m.Edge.Align, "grow": &m.Edge.Grow, "soften": &m.Edge.Soften} {
		if isSet(f, n) {
			set(to, f.Lookup(n).Value.(flag.Getter).Get().(float64))
		}
	}
	if isSet(f, "firm") {
		set(&m.Edge.Harden, firm.firm)
	}
	if firm.hasBalance {
		set(&m.Edge.About, firm.balance)
	}
	if err := w.save(""); err != nil {
		return err
	}
	return c.printJSON(edgeResult{w.Path, m.Name, reportEdge(m.Edge.At(frame))})
}
