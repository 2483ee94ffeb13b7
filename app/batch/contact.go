package batch

import (
	"context"
	"fmt"
	"image/png"
	"io"

	"halocline/app/clip"
	"halocline/app/contact"
	"halocline/app/export"
	"halocline/app/study"
	"halocline/app/view"
)

var contactVerb = verb{
	name: "contact", usage: "STUDY --out OUT.png [--matte NAME] [--view matte|hatch|trial] [--every N] [--frames A-B,C] [--overwrite] [--cache DIR] [--progress json]",
	about: "Draw every N-th frame of a matte, of the frame under a hatch outside it, or of the frame graded through all mattes, " +
		"as one picture with the frames' numbers: a clip at a glance.",
	examples: []string{
		"halocline-batch contact transect.halocline --out skin.png --matte skin",
		"halocline-batch contact transect.halocline --out trial.png --view trial --every 24 --frames 1-240",
	},
	run: runContact,
}

type contactReport struct {
	Study  string `json:"study"`
	Matte  string `json:"matte,omitempty"`
	View   string `json:"view"`
	Frames string `json:"frames"`
	Count  int    `json:"count"` // pictures
	Sheet  string `json:"sheet"`
}

// contactFlags are those of the verb.
type contactFlags struct {
	study, out, matte string
	view              view.View
	every             int
	spans             []clip.Span
	cache             *string
	tell              func(export.Progress) // nil: nothing of the progress
}

func (c *call) contactFlags() (k contactFlags, err error) {
	f := c.newFlags()
	f.StringVar(&k.out, "out", "", "the picture to write, a PNG")
	f.StringVar(&k.matte, "matte", "", "name of the matte; not needed where there is one alone")
	look := f.String("view", view.Matte.Name(), "matte, hatch or trial")
	f.IntVar(&k.every, "every", contact.UsualEvery, "draw every N-th of the frames")
	frames := f.String("frames", "", "numbers and ranges such as 1-24,30; all without it")
	overwrite := f.Bool("overwrite", false, "replace a file of that name")
	k.cache = cacheFlag(f)
	form := f.String("progress", "", "json: one object a line on stderr after each frame")
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return k, err
	}
	k.study = args[0]
	if k.spans, err = parseFrames(f, *frames); err != nil {
		return k, err
	}
	if k.tell, err = c.progress(*form); err != nil {
		return k, err
	}
	if k.view, err = view.Parse(*look, contact.Views...); err != nil {
		return k, misuse("--view is %q, want matte, hatch or trial", *look)
	}
	switch {
	case k.out == "":
		return k, misuse("found no --out OUT.png, want the picture to write")
	case k.every < 1:
		return k, misuse("--every is %d, want 1 or more", k.every)
	case k.view == view.Trial && k.matte != "":
		return k, misuse("--matte has no meaning with --view trial: the frame is graded through all")
	}
	return k, freeFile(k.out, *overwrite)
}

func runContact(ctx context.Context, c *call) error {
	k, err := c.contactFlags()
	if err != nil {
		return err
	}
	w, err := c.openStudy(ctx, k.study)
	if err != nil {
		return err
	}
	if err := w.spare(k.out); err != nil {
		return err
	}
	frames, err := c.framesOf(ctx, w, k.spans)
	if err != nil {
		return err
	}
	w.keepOutlines(*k.cache)
	sheet := contact.Clip{Study: w.Study, Renderer: w.Renderer, View: k.view, Frames: contact.Every(frames, k.every)}
	report := contactReport{Study: w.Path, View: k.view.Name(), Frames: clip.SpansText(clip.SpansOf(sheet.Frames)), Count: len(sheet.Frames), Sheet: k.out}
	if k.view != view.Trial {
		if sheet.Matte, err = w.oneMatte(k.matte); err != nil {
			return err
		}
		report.Matte = sheet.Matte.Name
	}
	if k.tell != nil {
		sheet.Progress = func(done, total, frame int) {
			k.tell(export.Progress{Done: done, Total: total, Entry: export.Entry{Frame: frame, Name: k.out}})
		}
	}
	picture, err := sheet.Draw(ctx)
	if err != nil {
		return err
	}
	if err := export.WriteFile(k.out, func(to io.Writer) error { return png.Encode(to, picture) }); err != nil {
		return err
	}
	return c.printJSON(report)
}

// oneMatte returns the matte that a name means, or the only one there is for "".
func (w opened) oneMatte(name string) (*study.Matte, error) {
	switch {
	case name != "":
		return w.matte(name)
	case len(w.Study.Mattes) == 1:
		return &w.Study.Mattes[0], nil
	case len(w.Study.Mattes) == 0:
		return nil, fmt.Errorf("batch: %s has no mattes yet: make one with fit", w.Path)
	}
	return nil, misuse("the study has %s: name one with --matte", w.matteNames())
}
