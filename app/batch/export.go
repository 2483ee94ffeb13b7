package batch

import (
	"context"
	"fmt"

	"halocline/app/export"
	"halocline/app/study"
)

var exportVerb = verb{
	name: "export", usage: "STUDY --out DIR [--matte NAME]... [--frames A-B,C] [--kind matte|pick|mask|cutout|hatch|reasons|base|trial] [--depth 8|16] [--pattern P] [--movie] [--no-sheet] [--overwrite] [--workers N] [--memory MB] [--shard I/N] [--progress json]",
	about: "Write mattes as PNG files, with a manifest; or their colour part or masks alone, the frame cut out, under a hatch, " +
		"with what keeps each pixel out, after base, or graded through all mattes whose trial is on. " +
		"Beside mattes lie a text that says what they are and one frame to check them against; with --movie also a movie of each, FFV1 of 16 bits in Matroska, made of its PNG files. " +
		"All mattes unless --matte names some, all frames unless --frames does, by the source's numbers. " +
		"A second run leaves what is there as it would be written, and makes what is missing, damaged or out of date. Files that an earlier export into DIR did not write, or that were changed since, are never replaced without --overwrite. " +
		"With --shard I/N, I from 0 to N-1, one of N parts of the frames is written, for the tasks of an array job: they may work in one DIR at once.",
	examples: []string{
		"halocline-batch export transect.halocline --out mattes",
		"halocline-batch export transect.halocline --out mattes --frames 1-24,30",
		"halocline-batch export transect.halocline --out review --matte skin --kind reasons --depth 8",
		"halocline-batch export transect.halocline --out flat --pattern '{clip}.{matte}.{frame:6}.png'",
		"halocline-batch export transect.halocline --out mattes --shard 0/4 --workers 2 --progress json",
	},
	run: runExport,
}

type exportReport struct {
	Folder   string         `json:"folder"`
	Manifest string         `json:"manifest"`
	Files    []export.Entry `json:"files"`
	Beside   []export.Entry `json:"beside"` // sheets, overlays and movies
}

// reportExport parts files into those of frames and those beside them.
func reportExport(folder, manifest string, files []export.Entry) exportReport {
	r := exportReport{folder, manifest, []export.Entry{}, []export.Entry{}}
	for _, e := range files {
		if e.Kind.IsFrame() {
			r.Files = append(r.Files, e)
		} else {
			r.Beside = append(r.Beside, e)
		}
	}
	return r
}

func runExport(ctx context.Context, c *call) error {
	f := c.newFlags()
	var names list
	f.Var(&names, "matte", "name of a matte; may be given several times; all without it")
	frames := f.String("frames", "", "numbers and ranges such as 1-24,30; all without it")
	out := f.String("out", "", "folder to write to")
	depth := f.Int("depth", 16, "bits a sample, 8 or 16")
	kindName := f.String("kind", string(export.Matte), "matte, pick, mask, cutout, hatch, reasons, base or trial")
	patternText := f.String("pattern", export.DefaultPattern, "file names within the folder")
	movie := f.Bool("movie", false, "a movie of each matte besides, which takes the program ffmpeg; its PNG files stay")
	noSheet := f.Bool("no-sheet", false, "no text and no overlay beside the mattes")
	workers := f.Int("workers", 0, "frames made at once; one for each processor without it, fewer where --memory would not do")
	memory := f.Int("memory", 0, "megabytes that the frames being made may take; 1024 for each processor without it")
	shardText := f.String("shard", "0/1", "part I of N of the frames, I from 0")
	progressForm := f.String("progress", "", "json: one object a line on stderr after each picture")
	overwrite := f.Bool("overwrite", false, "replace files that no export into this folder wrote, or that were changed since")
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	spans, err := parseFrames(f, *frames)
	if err != nil {
		return err
	}
	kind, err := export.ParseKind(*kindName)
	if err != nil {
		return misuse("%v", err)
	}
	pattern, err := export.ParsePattern(*patternText)
	if err != nil {
		return misuse("%v", err)
	}
	shard, err := export.ParseShard(*shardText)
	if err != nil {
		return misuse("%v", err)
	}
	progress, err := c.progress(*progressForm)
	if err != nil {
		return err
	}
	switch {
	case *workers < 0 || *memory < 0:
		return misuse("--workers is %d and --memory %d, want 0 or more", *workers, *memory)
	case *out == "":
		return misuse("found no --out DIR, want the folder to write to")
	case kind == export.Base && len(names) > 0:
		return misuse("--matte has no meaning with --kind base: the frame after base is the same for all")
	case kind == export.Trial && len(names) > 0:
		return misuse("--matte has no meaning with --kind trial: the frame is graded through all; trial --off leaves one out")
	case *depth != 8 && *depth != 16:
		return misuse("--depth is %d, want 8 or 16", *depth)
	}
	w, err := c.openStudy(ctx, args[0])
	if err != nil {
		return err
	}
	mattes, err := w.mattes(names)
	if err != nil {
		return err
	}
	if kind != export.Base && len(mattes) == 0 {
		return fmt.Errorf("batch: %s has no mattes yet: make one with fit", w.Path)
	}
	numbers, err := c.framesOf(ctx, w, spans)
	if err != nil {
		return err
	}
	job := export.Job{
		Study: w.Study, Renderer: w.Renderer, Mattes: mattes, Frames: numbers,
		Kind: kind, Depth: *depth, Pattern: pattern, Folder: *out, Overwrite: *overwrite,
		Sheets: !*noSheet, Movie: *movie,
		Workers: *workers, Memory: int64(*memory) << 20, Shard: shard, Progress: progress,
		Notice: func(s string) { c.notice("%s", s) },
	}
	files, err := job.Run(ctx)
	if err != nil {
		if len(files) > 0 {
			c.notice("%d files are there: the same call goes on from them", len(files))
		}
		return err
	}
	return c.printJSON(reportExport(*out, shard.ManifestName(), files))
}

// mattes returns those that the names mean, all for none.
func (w opened) mattes(names []string) (out []*study.Matte, err error) {
	for _, n := range names {
		m, err := w.matte(n)
		if err != nil {
			return nil, err
		}
		out = append(out, m)
	}
	if len(names) == 0 {
		for i := range w.Study.Mattes {
			out = append(out, &w.Study.Mattes[i])
		}
	}
	return out, nil
}
