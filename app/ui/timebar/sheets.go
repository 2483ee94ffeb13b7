package timebar

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/clip"
	"halocline/app/desk"
	"halocline/app/timecode"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
)

// OpenWorst lists the worst frames with what is wrong there; a press goes there.
func OpenWorst(d *desk.Desk, over *sheets.Sheets) {
	var lines []sheets.Line
	for _, f := range d.Verdict().Findings {
		mark := fyne.CanvasObject(canvas.NewRectangle(look.Column))
		if f.StandsOut() {
			mark = look.NewMark(look.Triangle, look.Warn)
		}
		frame := look.NewFixedLabel(72, fmt.Sprint(f.Frame), look.Style{Size: look.BodySize, Colour: look.White, Bold: true})
		words := look.NewLabel(f.Sentence, look.Style{Size: look.SmallSize, Colour: look.Text})
		line := container.NewBorder(nil, nil, look.HBox(8, container.NewCenter(look.Fixed(12, 12, mark)), frame), nil, words)
		lines = append(lines, sheets.Line{Content: look.Fixed(0, 24, line), Hint: f.Sentence, Run: func() { d.GoToFrame(f.Frame) }})
	}
	about := "The worst first. Press one to go there."
	if d.Verdict().Left > 0 {
		about = fmt.Sprintf("Those of before that stand; %d of %d frames are still to be judged. Press one to go there.", d.Verdict().Left, d.Verdict().Of)
	}
	over.List("Worst frames", about, lines, fyne.NewSize(820, 440), "Close")
}

// noFrame says why a frame cannot be gone to: it lies in a gap, or beyond the clip.
func noFrame(c *clip.Clip, n int) error {
	for _, gap := range c.Missing() {
		if n < gap.From || n > gap.To {
			continue
		}
		verb := "are"
		if gap.From == gap.To {
			verb = "is"
		}
		return fmt.Errorf("%s %s missing, want one of %s", clip.FramesWord([]clip.Span{gap}), verb, clip.SpansText(c.Spans()))
	}
	return fmt.Errorf("there is no frame %d, want one of %s", n, clip.SpansText(c.Spans()))
}

// AskFrame asks for a frame to go to, by its number or its timecode.
func AskFrame(d *desk.Desk, over *sheets.Sheets) {
	rate := d.Study().Clip.Rate
	all := d.Frames()
	about := fmt.Sprintf("A number from %d to %d, or a timecode such as 00:00:02:10.", all[0], all[len(all)-1])
	over.AskText("Go to frame", about, "Go", "frame", fmt.Sprint(d.Frame), func(text string) error {
		n, err := timecode.Parse(text, timecode.Rate{Num: rate[0], Den: rate[1]})
		if err != nil {
			return err
		}
		if c := d.Clip(); !c.Has(n) {
			return noFrame(c, n)
		}
		d.GoToFrame(n)
		return nil
	})
}
