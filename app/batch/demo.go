package batch

import (
	"context"
	"fmt"
	"image/png"
	"io"
	"path/filepath"
	"text/tabwriter"

	"halocline/app/contact"
	"halocline/app/export"
	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/scene/staging"
	"halocline/app/study"
	"halocline/app/view"
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
	count := framesFlag(f, scene.Frames)
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
	t, err := makeTake(ctx, folder, "demo", 1, size{scene.Width, scene.Height}, 1)
	if err != nil {
		return err
	}
	one, err := c.demoFrame(ctx, t)
	if err != nil || *count == 1 {
		return err
	}
	return c.demoClip(ctx, t, *count, one)
}

// demoFrame does the job on the first frame; it returns the IoU of the skin.
func (c *call) demoFrame(ctx context.Context, t take) (float64, error) {
	flat, err := t.Score(ctx)
	if err != nil {
		return 0, err
	}
	if err := t.SetBase(ctx); err != nil {
		return 0, err
	}
	if err := t.Fit(ctx); err != nil {
		return 0, err
	}
	based, err := t.Score(ctx)
	if err != nil {
		return 0, err
	}
	if err := t.save(ctx); err != nil {
		return 0, err
	}
	files, err := t.exportMattes(ctx, t.mattes(), []int{t.Study.Clip.First})
	if err != nil {
		return 0, err
	}
	if err := t.writeContact(ctx, based); err != nil {
		return 0, err
	}
	return *based[0].Scores.IoU, c.printDemo(t, files, flat, based)
}

// mattes are the study's.
func (t take) mattes() (all []*study.Matte) {
	for i := range t.Study.Mattes {
		all = append(all, &t.Study.Mattes[i])
	}
	return all
}

func (t take) exportMattes(ctx context.Context, mattes []*study.Matte, frames []int) ([]export.Entry, error) {
	pattern, err := export.ParsePattern(export.DefaultPattern)
	if err != nil {
		return nil, err
	}
	job := export.Job{
		Study: t.Study, Renderer: t.Renderer, Mattes: mattes, Frames: frames,
		Kind: export.Matte, Depth: 16, Pattern: pattern, Folder: t.matteFolder(),
		Overwrite: true, // the folder is this scene's own
	}
	return job.Run(ctx)
}

// writeContact shows the frame as it came, after base, every matte, and why
// pixels are out of the first.
func (t take) writeContact(ctx context.Context, verdicts []staging.Verdict) error {
	q := render.Request{Study: t.Study, Settings: &t.Study.Mattes[0].Settings, Frame: t.Study.Clip.First}
	l, err := view.Render(ctx, t.Renderer, q, view.Frame, view.Reasons)
	if err != nil {
		return err
	}
	shares := render.SharesOf(l.Reasons)
	came, based := l, l
	came.Shown = t.Frame.Image
	prints := []contact.Print{
		{View: view.Frame, Layers: came, Title: "the frame", Note: "as it came from the camera"},
		{View: view.Frame, Layers: based, Title: "base", Note: "water and cast taken out by slate and open water"},
		{View: view.Reasons, Layers: based, Title: "reasons: skin", Note: fmt.Sprintf("out by mask %.0f %%, hue %.0f %%, chroma %.0f %%, lightness %.0f %%",
			100*shares[selection.ByMask], 100*shares[selection.ByHue], 100*shares[selection.BySat], 100*shares[selection.ByLight])},
	}
	for _, v := range verdicts {
		l.Matte = &v.Plane
		prints = append(prints, contact.Print{View: view.Matte, Layers: l, Title: "matte: " + v.Matte.Name,
			Note: fmt.Sprintf("area %s, IoU %s, balanced accuracy %s", study.AreaWords(v.Area, true), ratio(v.Scores.IoU), ratio(v.Scores.BalancedAccuracy))})
	}
	sheet, err := contact.Of(ctx, contact.Three, prints)
	if err != nil {
		return err
	}
	return export.WriteFile(t.contactPath(), func(w io.Writer) error { return png.Encode(w, sheet) })
}

func (t take) contactPath() string { return filepath.Join(t.folder, "contact.png") }

// mattePath returns where exportMattes wrote a file.
func (t take) mattePath(e export.Entry) string {
	return filepath.Join(t.matteFolder(), filepath.FromSlash(e.Name))
}

func (t take) matteFolder() string { return filepath.Join(t.folder, "mattes") }

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
func (c *call) printDemo(t take, files []export.Entry, flat, based []staging.Verdict) error {
	w := tabwriter.NewWriter(c.stdout, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "\t\t\tas it came\t\t\tafter base")
	fmt.Fprintln(w, "matte\tmodel\tarea\tIoU\taccuracy\tseparation\tIoU\taccuracy\tseparation")
	for i, b := range based {
		f := flat[i]
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\t%s\n", b.Matte.Name, b.Separation.Model, study.AreaWords(b.Area, true),
			ratio(f.Scores.IoU), ratio(f.Scores.BalancedAccuracy), between(f.Separation.Pick.Could),
			ratio(b.Scores.IoU), ratio(b.Scores.BalancedAccuracy), between(b.Separation.Pick.Could))
	}
	if err := w.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(c.stdout)
	for _, b := range based {
		fmt.Fprintf(c.stdout, "%s: %s\n", b.Matte.Name, b.Separation.Sentence())
		for _, m := range b.Matte.Masks {
			fmt.Fprintf(c.stdout, "      The %s mask %q is there; it is in the figures above.\n", m.Kind, m.Name)
		}
	}
	fmt.Fprintf(c.stdout, "\nLook at %s first. The study is %s, the mattes are\n", t.contactPath(), t.path)
	for _, f := range files {
		fmt.Fprintf(c.stdout, "  %s\n", t.mattePath(f))
	}
	_, err := fmt.Fprintf(c.stdout, "IoU is the sum of minima over the sum of maxima against the true matte; accuracy is balanced, at\n"+
		"one half; separation is the chance that a pixel to keep weighs more than one to drop, dabs left out, with the interval\n"+
		"that has it in 95 of 100 draws of other dabs: three of a kind tell no finer.\n")
	return err
}
