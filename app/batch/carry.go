package batch

import (
	"context"
	"fmt"
	"strings"

	"halocline/app/carry"
)

var carryVerb = verb{
	name: "carry", usage: "STUDY CLIP... [--out DIR] [--masks] [--overwrite] [--json]",
	about: "Make a study for each of other clips of the dive, pictures, movies or folders, with the base, mattes, picks, edges, trials and joins of STUDY. " +
		"What has keys is held at its last key's value; dabs and proofs stay behind. With --masks each mask comes along with its first outline, on the clip's first frame. " +
		"A line a clip says how far the light shifted, in CIEDE2000 between the mean colours of five frames of either clip after base, and which picks are stale, with the channels that moved: " +
		"where the light shifted by more than 3, or the clip lacks more than 5 % of the colours under the old dabs. info says so until such a matte is fitted again, which keeps fades that were set by hand. " +
		"A study lies beside its clip, or in the folder --out. One that is there is not replaced without --overwrite; a clip that fails leaves the others to go on, and the exit status is 1.",
	examples: []string{
		"halocline-batch carry transect.halocline reef.mov wall.mov seagrass",
		"halocline-batch carry transect.halocline reef/reef.0001.png --out studies --masks",
	},
	run: runCarry,
}

type carryReport struct {
	Study string      `json:"study"`
	Held  []string    `json:"held"` // what had keys, and what became of it
	Clips []carryClip `json:"clips"`
}

type carryClip struct {
	Clip    string       `json:"clip"` // as it was given
	Error   string       `json:"error,omitempty"`
	Study   string       `json:"study,omitempty"`
	Shift   float64      `json:"shift"` // CIEDE2000
	Noise   [3]float64   `json:"noise"`
	Mattes  []carryMatte `json:"mattes"`
	Notices []string     `json:"notices"`
	line    string
}

type carryMatte struct {
	Name   string   `json:"name"`
	Unlike *float64 `json:"unlike,omitempty"` // the share of the dabs' colours that the clip lacks
	Stale  bool     `json:"stale"`
	Moved  []string `json:"moved"` // channels that make it stale
	Masks  int      `json:"masks"`
}

// carryFlags are those of the verb.
type carryFlags struct {
	study     string
	clips     []string
	out       string
	masks     bool
	overwrite bool
	json      bool
}

// mostClips is what one call carries to.
const mostClips = 1000

func (c *call) carryFlags() (k carryFlags, err error) {
	f := c.newFlags()
	f.StringVar(&k.out, "out", "", "folder for the studies; beside each clip without it")
	f.BoolVar(&k.masks, "masks", false, "carry masks too: the first outline of each, on the clip's first frame")
	f.BoolVar(&k.overwrite, "overwrite", false, "replace studies of those names, but never STUDY")
	f.BoolVar(&k.json, "json", false, "print the figures as JSON")
	args, err := c.parse(f, 2, 1+mostClips)
	if err != nil {
		return k, err
	}
	k.study, k.clips = args[0], args[1:]
	return k, nil
}

func runCarry(ctx context.Context, c *call) error {
	k, err := c.carryFlags()
	if err != nil {
		return err
	}
	w, err := c.openStudy(ctx, k.study)
	if err != nil {
		return err
	}
	taken, err := carry.Take(ctx, w.Work)
	if err != nil {
		return err
	}
	report := carryReport{Study: w.Path, Held: emptied(taken.Held), Clips: []carryClip{}}
	failures := 0
	for _, path := range k.clips {
		one, err := carryTo(ctx, k, taken, path)
		if ctx.Err() != nil {
			return err
		}
		if err != nil {
			one.Error = c.verb.plain(err)
			failures++
			c.notice("%s", one.Error)
		}
		report.Clips = append(report.Clips, one)
	}
	if err := k.print(c, taken, report); err != nil {
		return err
	}
	if failures > 0 {
		return fmt.Errorf("batch: %d of %d clips failed", failures, len(k.clips))
	}
	return nil
}

// carryTo makes and saves the study of one clip.
func carryTo(ctx context.Context, k carryFlags, t *carry.Taken, path string) (carryClip, error) {
	out := carryClip{Clip: path, Mattes: []carryMatte{}, Notices: []string{}}
	r, err := t.Make(ctx, path, k.out, carry.Options{Masks: k.masks, Overwrite: k.overwrite})
	if err != nil {
		return out, err
	}
	out.Study, out.Shift, out.Noise, out.Notices, out.line = r.Work.Path, r.Shift, r.Work.Study.Clip.Noise, emptied(r.Notices), r.Line()
	for _, m := range r.Mattes {
		out.Mattes = append(out.Mattes, carryMatte{m.Name, m.Unlike, m.Moved.Any(), movedList(m.Moved.String()), m.Masks})
	}
	return out, nil
}

// movedList divides the words for channels.
func movedList(words string) []string {
	if words == "" {
		return []string{}
	}
	return strings.Split(words, ", ")
}

// print writes a line for each clip, or JSON, and tells what became of keys.
func (k carryFlags) print(c *call, t *carry.Taken, r carryReport) error {
	if k.json {
		return c.printJSON(r)
	}
	for _, said := range append(t.Notices, t.Held...) {
		c.notice("%s", said)
	}
	for _, one := range r.Clips {
		for _, said := range one.Notices {
			c.notice("%s", said)
		}
		if one.Error != "" {
			continue // it was told
		}
		if _, err := fmt.Fprintf(c.stdout, "%s: %s\n", one.Study, one.line); err != nil {
			return fmt.Errorf("batch: the result cannot be written: %w", err)
		}
	}
	return nil
}
