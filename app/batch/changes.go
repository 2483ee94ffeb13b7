package batch

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"

	"halocline/app/clip"
	"halocline/app/export"
	"halocline/app/study"
)

var changesVerb = verb{
	name: "changes", usage: "A B [--matte NAME]... [--frames A-B,C] [--worst N] [--sheet OUT.png] [--overwrite] [--json]",
	about: "Compare two folders of exported mattes of one shot, matte by matte and frame by frame: IoU (sum of minima over sum of maxima), " +
		"the mean and the largest change of a pixel, and over frames that follow one another dtSSD (Erofeev et al. 2015). " +
		"A line a matte names the frames that changed most; --json prints the figures of every frame. " +
		"--sheet draws those frames, A, B and their difference side by side: grey where they are the same, lighter where B keeps more, darker where it keeps less. " +
		"The two may have different depths, not different sizes. The exit status is 1 where a frame or a matte is on one side alone.",
	examples: []string{
		"halocline-batch changes mattes mattes-softer",
		"halocline-batch changes v1 v2 --matte skin --frames 1-72 --worst 5 --sheet changes.png",
	},
	run: runChanges,
}

// changesFlags are those of the verb.
type changesFlags struct {
	a, b      string
	names     list
	spans     []clip.Span
	worst     int
	sheet     string
	overwrite bool
	json      bool
}

func (c *call) changesFlags() (k changesFlags, err error) {
	f := c.newFlags()
	f.Var(&k.names, "matte", "name of a matte; may be given several times; all without it")
	frames := f.String("frames", "", "numbers and ranges such as 1-24,30; all without it")
	f.IntVar(&k.worst, "worst", worstTold, "how many of the most changed frames are named, and drawn")
	f.StringVar(&k.sheet, "sheet", "", "the picture of these frames to write, a PNG")
	f.BoolVar(&k.overwrite, "overwrite", false, "replace a file of that name")
	f.BoolVar(&k.json, "json", false, "print the figures of every frame, as JSON")
	args, err := c.parse(f, 2, 2)
	if err != nil {
		return k, err
	}
	k.a, k.b = args[0], args[1]
	if k.spans, err = parseFrames(f, *frames); err != nil {
		return k, err
	}
	named := 0
	for _, s := range k.spans {
		named += s.To - s.From + 1
	}
	switch {
	case named > mostNamed:
		return k, misuse("--frames names %d frames, want %d or fewer", named, mostNamed)
	case k.worst < 1:
		return k, misuse("--worst is %d, want 1 or more", k.worst)
	case k.overwrite && k.sheet == "":
		return k, misuse("--overwrite has no meaning without --sheet")
	}
	return k, freeFile(k.sheet, k.overwrite)
}

// mostNamed is more frames than a shot has: half an hour at 50 a second.
const mostNamed = 100_000

// freeFile returns an error where a file would be replaced that --overwrite does not give away.
func freeFile(path string, overwrite bool) error {
	if path == "" || overwrite {
		return nil
	}
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("batch: %s exists: give another name, or --overwrite", path)
	}
	return nil
}

func runChanges(ctx context.Context, c *call) error {
	k, err := c.changesFlags()
	if err != nil {
		return err
	}
	pairs, report, err := k.pairs()
	if err != nil {
		return err
	}
	for i := range pairs {
		if err := pairs[i].compare(ctx, k.worst); err != nil {
			return err
		}
		report.Mattes = append(report.Mattes, pairs[i].matte)
		pairs[i].tell(c)
	}
	if report.Sheet, err = k.writeSheet(ctx, c, pairs); err != nil {
		return err
	}
	if k.json {
		err = c.printJSON(report)
	} else {
		err = report.print(c.stdout)
	}
	return errors.Join(err, report.oneSided())
}

// pairs lists what both folders have, and in the report what one of them has alone.
func (k changesFlags) pairs() ([]changePair, changesReport, error) {
	report := changesReport{A: k.a, B: k.b, Mattes: []changeMatte{}, OnlyA: []string{}, OnlyB: []string{}}
	var sides [2]map[string]export.MatteSeries
	for i, folder := range []string{k.a, k.b} {
		all, err := export.Mattes(folder)
		if err != nil {
			return nil, report, err
		}
		sides[i] = map[string]export.MatteSeries{}
		for _, s := range all {
			sides[i][study.Fold(s.Matte)] = s
		}
	}
	wanted, err := k.wantedMattes(sides)
	if err != nil {
		return nil, report, err
	}
	var pairs []changePair
	for _, key := range wanted {
		a, inA := sides[0][key]
		b, inB := sides[1][key]
		switch {
		case !inB:
			report.OnlyA = append(report.OnlyA, a.Matte)
		case !inA:
			report.OnlyB = append(report.OnlyB, b.Matte)
		default:
			pairs = append(pairs, changePair{a: a, b: b, frames: k.wantedFrames(a, b), depths: [2]map[int]bool{{}, {}}})
		}
	}
	return pairs, report, nil
}

// wantedMattes lists the folded names of mattes to compare. One that neither side has is an error.
func (k changesFlags) wantedMattes(sides [2]map[string]export.MatteSeries) ([]string, error) {
	every := slices.Concat(slices.Collect(maps.Keys(sides[0])), slices.Collect(maps.Keys(sides[1])))
	slices.Sort(every)
	every = slices.Compact(every)
	if len(k.names) == 0 {
		return every, nil
	}
	var wanted []string
	for _, name := range k.names {
		key := study.Fold(name)
		if !slices.Contains(every, key) {
			return nil, fmt.Errorf("batch: neither %s nor %s has a matte %q, want one of %s", k.a, k.b, name, quotedNames(every, func(key string) string { return cmp.Or(sides[0][key].Matte, sides[1][key].Matte) }))
		}
		if !slices.Contains(wanted, key) {
			wanted = append(wanted, key)
		}
	}
	return wanted, nil
}

// wantedFrames lists the frames that --frames names, or all of which either side knows.
func (k changesFlags) wantedFrames(a, b export.MatteSeries) (all []int) {
	if k.spans == nil {
		all = slices.Concat(a.Frames(), a.Skipped, b.Frames(), b.Skipped)
	}
	for _, s := range k.spans {
		for n := s.From; n <= s.To; n++ {
			all = append(all, n)
		}
	}
	slices.Sort(all)
	return slices.Compact(all)
}
