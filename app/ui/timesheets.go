package ui

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/timecode"
	"halocline/app/ui/look"
)

// openWorst lists the worst frames with what is wrong there; a press goes there.
func (w *window) openWorst() {
	var s *sheet
	list := look.VBox(0)
	for _, f := range w.desk.Verdict().Findings {
		mark := fyne.CanvasObject(canvas.NewRectangle(look.Column))
		if f.StandsOut() {
			mark = look.NewMark(look.Triangle, look.Warn)
		}
		frame := look.NewFixedLabel(72, fmt.Sprint(f.Frame), look.Style{Size: look.BodySize, Colour: look.White, Bold: true})
		words := look.NewLabel(f.Sentence, look.Style{Size: look.SmallSize, Colour: look.Text})
		line := container.NewBorder(nil, nil, look.HBox(8, container.NewCenter(look.Fixed(12, 12, mark)), frame), nil, words)
		list.Add(newPressable(look.Pad(8, 2, 8, 2, line), fyne.NewSize(0, 28), f.Sentence, func() {
			s.close()
			w.desk.GoToFrame(f.Frame)
		}))
	}
	about := "The worst first. Press one to go there."
	if w.desk.Verdict().Left > 0 {
		about = fmt.Sprintf("So far; %d of %d frames are still to be judged. Press one to go there.", w.desk.Verdict().Left, w.desk.Verdict().Of)
	}
	done := look.NewButton("Close", func() { s.close() })
	s = w.openSheet("Worst frames", about, container.NewVScroll(list), fyne.NewSize(820, 440), buttons(nil, done), done)
}

// askFrame asks for a frame to go to, by its number or its timecode.
func (w *window) askFrame() {
	rate := w.desk.Study().Clip.Rate
	all := w.desk.Frames()
	about := fmt.Sprintf("A number from %d to %d, or a timecode such as 00:00:02:10.", all[0], all[len(all)-1])
	w.askText("Go to frame", about, "Go", "frame", fmt.Sprint(w.desk.Frame), func(text string) error {
		n, err := timecode.Parse(text, timecode.Rate{Num: rate[0], Den: rate[1]})
		if err != nil {
			return err
		}
		if c := w.desk.Clip(); !c.Has(n) {
			return fmt.Errorf("there is no frame %d, want one of %d to %d", n, all[0], all[len(all)-1])
		}
		w.desk.GoToFrame(n)
		return nil
	})
}
