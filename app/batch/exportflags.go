package batch

import (
	"flag"

	"halocline/app/clip"
	"halocline/app/export"
)

// exportFlags are those of the verb export.
type exportFlags struct {
	set                                         *flag.FlagSet
	mattes                                      list
	frames, out, kind, pattern, shard, progress string
	redo                                        string
	cache                                       *string
	depth, workers, memory                      int
	movie, noSheet, overwrite, adopt, skipBad   bool
}

func newExportFlags(c *call) *exportFlags {
	f := &exportFlags{set: c.newFlags()}
	f.set.Var(&f.mattes, "matte", "name of a matte; may be given several times; all without it")
	f.set.StringVar(&f.frames, "frames", "", "numbers and ranges such as 1-24,30; all without it")
	f.set.StringVar(&f.out, "out", "", "folder to write to")
	f.set.IntVar(&f.depth, "depth", 16, "bits a sample, 8 or 16")
	f.set.StringVar(&f.kind, "kind", string(export.Matte), "matte, pick, mask, cutout, hatch, reasons, base or trial")
	f.set.StringVar(&f.pattern, "pattern", export.DefaultPattern, "file names within the folder; {version} in it counts exports of other settings, so that each stays whole")
	f.set.BoolVar(&f.movie, "movie", false, "a movie of each matte besides, or of base or the trial, which takes the program ffmpeg; its PNG files stay")
	f.set.BoolVar(&f.noSheet, "no-sheet", false, "no text and no overlay beside the mattes")
	f.set.IntVar(&f.workers, "workers", 0, "frames made at once; one for each processor without it, fewer where --memory would not do")
	f.set.IntVar(&f.memory, "memory", 0, "megabytes that the frames being made may take; 1024 for each processor without it")
	f.set.StringVar(&f.shard, "shard", "0/1", "part I of N of the frames, I from 0")
	f.cache = cacheFlag(f.set)
	f.set.StringVar(&f.progress, "progress", "", "json: one object a line on stderr after each picture")
	f.set.BoolVar(&f.overwrite, "overwrite", false, "replace files that no export into this folder wrote, or that were changed since")
	f.set.StringVar(&f.redo, "redo", "", "frames such as 7,12-14: their files are made again, whatever lies there; all others stay")
	f.set.BoolVar(&f.adopt, "adopt", false, "take files that no manifest lists as written by this export, if their bytes are what it would write")
	f.set.BoolVar(&f.skipBad, "skip-bad", false, "go on past frames whose footage is damaged or missing: they get no picture, manifest and text say so, and the exit status is 1")
	return f
}

// job returns the export that the flags ask for, of no study yet, and the frames
// that they name, nil for all.
func (f *exportFlags) job(c *call) (j export.Job, spans []clip.Span, err error) {
	j = export.Job{
		Depth: f.depth, Folder: f.out, Overwrite: f.overwrite, Adopt: f.adopt, SkipBad: f.skipBad, Sheets: !f.noSheet, Movie: f.movie,
		Workers: f.workers, Memory: int64(f.memory) << 20,
		Notice: func(s string) { c.notice("%s", s) },
	}
	if spans, err = parseFrames(f.set, f.frames); err != nil {
		return j, nil, err
	}
	if isSet(f.set, "redo") {
		if j.Redo, err = clip.ParseSpans(f.redo); err != nil {
			return j, nil, misuse("--redo: %v", err)
		}
	}
	if j.Kind, err = export.ParseKind(f.kind); err != nil {
		return j, nil, misuse("%v", err)
	}
	if j.Pattern, err = export.ParsePattern(f.pattern); err != nil {
		return j, nil, misuse("%v", err)
	}
	if j.Shard, err = export.ParseShard(f.shard); err != nil {
		return j, nil, misuse("%v", err)
	}
	if j.Progress, err = c.progress(f.progress); err != nil {
		return j, nil, err
	}
	return j, spans, f.check(j.Kind)
}

// check says what flags do not go together.
func (f *exportFlags) check(kind export.Kind) error {
	switch {
	case f.workers < 0 || f.memory < 0:
		return misuse("--workers is %d and --memory %d, want 0 or more", f.workers, f.memory)
	case f.out == "":
		return misuse("found no --out DIR, want the folder to write to")
	case kind == export.Base && len(f.mattes) > 0:
		return misuse("--matte has no meaning with --kind base: the frame after base is the same for all")
	case kind == export.Trial && len(f.mattes) > 0:
		return misuse("--matte has no meaning with --kind trial: the frame is graded through all; trial --off leaves one out")
	case f.depth != 8 && f.depth != 16:
		return misuse("--depth is %d, want 8 or 16", f.depth)
	}
	return nil
}
