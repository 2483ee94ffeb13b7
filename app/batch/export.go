package batch

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"halocline/app/export"
	"halocline/app/study"
)

var exportVerb = verb{
	name: "export", usage: "STUDY --out DIR [--matte NAME]... [--frames A-B,C] [--kind matte|pick|mask|cutout|hatch|reasons|base|trial] [--depth 8|16] [--pattern P] [--movie] [--no-sheet] [--overwrite] [--redo FRAMES] [--adopt] [--skip-bad] [--workers N] [--memory MB] [--shard I/N] [--cache DIR] [--progress json]",
	about: "Write mattes as PNG files, with a manifest; or their picks or masks alone, the frame cut out, under a hatch, " +
		"with what keeps each pixel out, after base, or graded through all mattes whose trial is on. " +
		"Beside mattes lie a text that says what they are and one frame to check them against; with --movie also a movie of each, FFV1 of 16 bits in Matroska, made of its PNG files; kinds base and trial have one too, in R, G, B. " +
		"All mattes unless --matte names some, but for those that join marks as not exported; all frames unless --frames names some, by the source's numbers. " +
		"A second run leaves what is there as it would be written, and makes what is missing, damaged or out of date. Files that an earlier export into DIR did not write, or that were changed since, are never replaced without --overwrite. " +
		"Outlines that follow the picture are made where they are missing, and kept; follow makes them ahead. " +
		"Where only some frames' files were changed since, --redo makes them again; where the manifest was lost, --adopt takes files whose bytes are right; --skip-bad goes on past frames whose footage cannot be read. " +
		"With --shard I/N, I from 0 to N-1, one of N parts of the frames is written, for the tasks of an array job: they may work in one DIR at once.",
	examples: []string{
		"halocline-batch export transect.halocline --out mattes",
		"halocline-batch export transect.halocline --out mattes --frames 1-24,30",
		"halocline-batch export transect.halocline --out mattes --redo 12-14",
		"halocline-batch export transect.halocline --out mattes --pattern 'v{version}/{matte}.{frame:6}.png'",
		"halocline-batch export transect.halocline --out review --matte skin --kind reasons --depth 8",
		"halocline-batch export transect.halocline --out reference --kind base --movie",
		"halocline-batch export transect.halocline --out flat --pattern '{clip}.{matte}.{frame:6}.png'",
		"halocline-batch export transect.halocline --out mattes --shard 0/4 --workers 2 --progress json",
	},
	run: runExport,
}

type exportReport struct {
	Folder   string         `json:"folder"`
	Manifest string         `json:"manifest"`
	Files    []export.Entry `json:"files"`
	Beside   []export.Entry `json:"beside"`  // sheets, overlays and movies
	Skipped  []export.Entry `json:"skipped"` // frames without a picture
}

// reportExport divides files into those of frames, those beside them, and frames
// without a picture.
func reportExport(folder, manifest string, files []export.Entry) exportReport {
	r := exportReport{folder, manifest, []export.Entry{}, []export.Entry{}, []export.Entry{}}
	for _, e := range files {
		switch {
		case e.Skipped != "":
			r.Skipped = append(r.Skipped, e)
		case e.Kind.IsFrame():
			r.Files = append(r.Files, e)
		default:
			r.Beside = append(r.Beside, e)
		}
	}
	return r
}

func runExport(ctx context.Context, c *call) error {
	f := newExportFlags(c)
	args, err := c.parse(f.set, 1, 1)
	if err != nil {
		return err
	}
	job, spans, err := f.job(c)
	if err != nil {
		return err
	}
	w, err := c.openStudy(ctx, args[0])
	if err != nil {
		return err
	}
	job.Study, job.Renderer, job.Spare = w.Study, w.Renderer, []string{w.Path}
	if job.Mattes, err = c.mattesToExport(w, f.mattes, job.Kind); err != nil {
		return err
	}
	if f.skipBad {
		job.Frames, err = w.allFramesOf(spans)
	} else {
		job.Frames, err = c.framesOf(ctx, w, spans)
	}
	if err != nil {
		return err
	}
	w.keepOutlines(*f.cache)
	lost := lostEdges{}
	job.LostEdges = lost.add
	files, err := job.Run(ctx)
	lost.tell(c, w.Study)
	for _, line := range export.EmptyLines(files) {
		c.notice("%s", line)
	}
	var skipped *export.SkippedError
	if errors.As(err, &skipped) {
		return errors.Join(c.printJSON(reportExport(job.Folder, job.Shard.ManifestName(), files)), err)
	}
	if err != nil {
		if len(files) > 0 {
			c.notice("%d files are there: the same call goes on from them", len(files))
		}
		return err
	}
	return c.printJSON(reportExport(job.Folder, job.Shard.ManifestName(), files))
}

// mattesToExport returns those that the names mean. For none these are all but those that are
// marked as not exported, which is told. A kind without pictures of single mattes shows all.
func (c *call) mattesToExport(w opened, names []string, kind export.Kind) ([]*study.Matte, error) {
	named, err := w.mattes(names)
	switch {
	case err != nil:
		return nil, err
	case len(named) == 0 && kind != export.Base:
		return nil, fmt.Errorf("batch: %s has no mattes yet: make one with fit", w.Path)
	case len(names) > 0 || !kind.PerMatte():
		return named, nil
	}
	all, left := w.Study.ToExport()
	var leftNames []string
	for _, m := range left {
		leftNames = append(leftNames, fmt.Sprintf("%q", m.Name))
	}
	said := strings.Join(leftNames, ", ")
	if len(all) == 0 {
		return nil, fmt.Errorf("batch: %s has no matte that is to be exported, all are marked as not exported: want --matte with one of %s", w.Path, said)
	}
	if len(left) > 0 {
		c.notice("left out, marked as not exported: %s; --matte NAME exports one all the same", said)
	}
	return all, nil
}

// mattes returns those that the names mean, all for none.
func (w opened) mattes(names []string) (out []*study.Matte, err error) {
	for _, n := range names {
		m, err := w.matte(n)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(out, m) { // the same, given twice
			out = append(out, m)
		}
	}
	if len(names) == 0 {
		for i := range w.Study.Mattes {
			out = append(out, &w.Study.Mattes[i])
		}
	}
	return out, nil
}
