package batch

import (
	"context"
	"fmt"
	"image/png"
	"io"
	"path/filepath"
	"text/tabwriter"

	"halocline/app/check"
	"halocline/app/export"
	"halocline/app/render"
	"halocline/app/sample"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
	"halocline/selection"
)

var demoVerb = verb{
	name: "demo", usage: "[DIR] [--frames N]",
	about: "Do the main job on the embedded scene, into DIR (halocline-demo): the scene with its truth, a base, fitted mattes, " +
		"exported PNG files, a contact sheet, and a table of figures; then the same over the whole clip, with keyed masks and base. " +
		"The clip takes a minute or two; --frames 1 does without.",
	examples: []string{"halocline-batch demo", "halocline-batch demo look --frames 1"},
	run:      runDemo,
}

const demoFolder = "halocline-demo"

func runDemo(ctx context.Context, c *call) error {
	f := c.newFlags()
	count := framesFlag(f, sample.Frames)
	args, err := c.parse(f, 0, 1)
	if err == nil {
		err = checkFrames(*count)
	}
	if err != nil {
		return err
	}
	folder := demoFolder
	if len(args) == 1 {
		folder = args[0]
	}
	set, err := makeSample(ctx, folder, "demo", 1, size{sample.Width, sample.Height}, 1)
	if err != nil {
		return err
	}
	one, err := c.demoFrame(ctx, set)
	if err != nil || *count == 1 {
		return err
	}
	return c.demoClip(ctx, set, *count, one)
}

// demoFrame does the job on the first frame; it returns the IoU of the skin.
func (c *call) demoFrame(ctx context.Context, set *sampleSet) (float64, error) {
	flat, err := set.score(ctx)
	if err != nil {
		return 0, err
	}
	if err := set.setBase(ctx); err != nil {
		return 0, err
	}
	if err := set.fit(ctx); err != nil {
		return 0, err
	}
	based, err := set.score(ctx)
	if err != nil {
		return 0, err
	}
	if err := set.save(); err != nil {
		return 0, err
	}
	files, err := set.exportMattes(ctx, set.mattes(), []int{set.study.Clip.First})
	if err != nil {
		return 0, err
	}
	if err := set.writeContact(ctx, based); err != nil {
		return 0, err
	}
	return *based[0].scores.IoU, c.printDemo(set, files, flat, based)
}

// A verdict is what one matte of the scene is worth.
type verdict struct {
	matte      *study.Matte
	area       float64
	scores     check.Scores
	separation selection.Separation
	plane      colour.Plane
}

// score renders every matte and scores it against the truth.
func (set *sampleSet) score(ctx context.Context) (out []verdict, err error) {
	for i, truth := range set.truths() {
		m := &set.study.Mattes[i]
		v := verdict{matte: m}
		if v.plane, err = set.renderer.Matte(ctx, render.Request{Study: set.study, Settings: &m.Settings, Frame: set.study.Clip.First}); err != nil {
			return nil, err
		}
		if v.scores, err = check.Score(ctx, v.plane, truth, nil); err != nil {
			return nil, err
		}
		dabs, err := set.renderer.DabSamples(ctx, set.study, m)
		if err != nil {
			return nil, err
		}
		if v.separation, err = selection.MeasureSeparationEach(dabs, m.PicksOfDabs()); err != nil {
			return nil, err
		}
		for _, w := range v.plane.Pix {
			v.area += float64(w) / float64(len(v.plane.Pix))
		}
		out = append(out, v)
	}
	return out, nil
}

// setBase takes the scene's water out by its slate and open water, as a person
// would: a water type and a path by eye, and the two samples. Over a clip the
// samples are taken on each marked frame, as keys: the water deepens.
func (set *sampleSet) setBase(ctx context.Context) error {
	if len(set.frames) <= 1 {
		return set.baseAt(ctx, set.study.Clip.First, set.frame.Slate, set.frame.OpenWater, false)
	}
	for i, s := range set.annotations {
		if s.dabs == nil {
			continue
		}
		if err := set.baseAt(ctx, set.frames[i], s.slate, s.water, true); err != nil {
			return err
		}
	}
	return nil
}

func (set *sampleSet) baseAt(ctx context.Context, frame int, slate, water sample.Spot, key bool) error {
	src, err := set.renderer.Source(ctx, set.study, frame)
	if err != nil {
		return err
	}
	b := baseFlags{grey: discOf(slate), water: discOf(water), key: &key}
	if _, err = b.applyWater(&set.study.Base, frame, src); err != nil {
		return err
	}
	return b.applyGrey(&set.study.Base, frame, src)
}

func discOf(s sample.Spot) disc { return disc{set: true, x: s.X, y: s.Y, radius: s.Radius} }

// mattes are the study's.
func (set *sampleSet) mattes() (all []*study.Matte) {
	for i := range set.study.Mattes {
		all = append(all, &set.study.Mattes[i])
	}
	return all
}

func (set *sampleSet) exportMattes(ctx context.Context, mattes []*study.Matte, frames []int) ([]export.Entry, error) {
	pattern, err := export.ParsePattern(export.DefaultPattern)
	if err != nil {
		return nil, err
	}
	job := export.Job{
		Study: set.study, Renderer: set.renderer, Mattes: mattes, Frames: frames,
		Kind: export.Matte, Depth: 16, Pattern: pattern, Folder: filepath.Join(set.folder, "mattes"),
		Overwrite: true, // the folder is this scene's own
	}
	return job.Run(ctx)
}

// writeContact shows the frame as it came, after base, every matte, and why
// pixels are out of the first.
func (set *sampleSet) writeContact(ctx context.Context, verdicts []verdict) error {
	q := render.Request{Study: set.study, Settings: &set.study.Mattes[0].Settings, Frame: set.study.Clip.First}
	l, err := view.Render(ctx, set.renderer, q, view.Frame, view.Reasons)
	if err != nil {
		return err
	}
	shares := render.SharesOf(l.Reasons)
	came, based := l, l
	came.Shown = set.frame.Image
	prints := []print{
		{view.Frame, came, "the frame", "as it came from the camera"},
		{view.Frame, based, "base", "water and cast taken out by slate and open water"},
		{view.Reasons, based, "reasons: skin", fmt.Sprintf("out by mask %.0f %%, hue %.0f %%, chroma %.0f %%, lightness %.0f %%",
			100*shares[selection.ByMask], 100*shares[selection.ByHue], 100*shares[selection.BySat], 100*shares[selection.ByLight])},
	}
	for _, v := range verdicts {
		l.Matte = &v.plane
		prints = append(prints, print{view.Matte, l, "matte: " + v.matte.Name,
			fmt.Sprintf("area %.1f %%, IoU %s, balanced accuracy %s", 100*v.area, ratio(v.scores.IoU), ratio(v.scores.BalancedAccuracy))})
	}
	sheet, err := contactSheet(ctx, prints)
	if err != nil {
		return err
	}
	return set.write("contact.png", func(w io.Writer) error { return png.Encode(w, sheet) })
}

// ratio writes a score that may have no meaning.
func ratio(v *float64) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf("%.3f", *v)
}

// between writes an estimate with its interval.
func between(e selection.Estimate) string {
	return fmt.Sprintf("%.2f (%.2f to %.2f)", e.Value, e.Low, e.High)
}

// printDemo writes the table of figures.
func (c *call) printDemo(set *sampleSet, files []export.Entry, flat, based []verdict) error {
	w := tabwriter.NewWriter(c.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\t\t\tas it came\t\t\tafter base")
	fmt.Fprintln(w, "matte\tmodel\tarea\tIoU\taccuracy\tseparation\tIoU\taccuracy\tseparation")
	for i, b := range based {
		f := flat[i]
		fmt.Fprintf(w, "%s\t%s\t%.1f %%\t%s\t%s\t%s\t%s\t%s\t%s\n", b.matte.Name, b.separation.Model, 100*b.area,
			ratio(f.scores.IoU), ratio(f.scores.BalancedAccuracy), between(f.separation.Pick.Could),
			ratio(b.scores.IoU), ratio(b.scores.BalancedAccuracy), between(b.separation.Pick.Could))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(c.stdout)
	for _, b := range based {
		fmt.Fprintf(c.stdout, "%s: %s\n", b.matte.Name, b.separation.Sentence())
		for _, m := range b.matte.Masks {
			fmt.Fprintf(c.stdout, "      The %s mask %q is there; it is in the figures above.\n", m.Kind, m.Name)
		}
	}
	fmt.Fprintf(c.stdout, "\nLook at %s first. The study is %s, the mattes are\n", filepath.Join(set.folder, "contact.png"), set.studyPath)
	for _, f := range files {
		fmt.Fprintf(c.stdout, "  %s\n", filepath.Join(set.folder, "mattes", filepath.FromSlash(f.Name)))
	}
	_, err := fmt.Fprintf(c.stdout, "IoU is the sum of minima over the sum of maxima against the true matte; accuracy is balanced, at\n"+
		"one half; separation is the chance that a pixel to keep weighs more than one to drop, dabs left out, with the interval\n"+
		"that has it in 95 of 100 draws of other dabs: three of a kind tell no finer.\n")
	return err
}
