package sheets

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/contact"
	"halocline/app/desk"
	"halocline/app/export"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/view"
)

// A contactSheet draws frames of the clip as one picture.
type contactSheet struct {
	of    *Sheets
	desk  *desk.Desk
	sheet *Sheet
	view  view.View
	asked string // the file whose replacement was asked about

	every, path  *look.Entry
	about, wrong *look.Label
	draw, cancel *look.Button
	bar          *look.Meter
	stop         context.CancelFunc // of the drawing under way
	running      atomic.Bool
}

// OpenContact asks which frames are to be drawn as one picture, and where it goes.
func (s *Sheets) OpenContact() {
	k := &contactSheet{of: s, desk: s.desk, view: contact.Views[0]}
	m := s.desk.Matte()
	if s.desk.View == view.Hatch || s.desk.View == view.Trial {
		k.view = s.desk.View
	}
	form := look.VBox(12, formRow("Shows", k.viewChoices()), formRow("Frames", k.everyField()), formRow("File", k.pathField(m)))
	k.about = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	k.wrong = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Warn})
	k.bar = look.NewMeter(0, 1)
	k.bar.Hide()
	k.cancel = look.NewButton("Cancel", k.end)
	k.draw = look.NewButton("Draw", k.commit)
	k.draw.Kind = look.Prominent
	foot := look.VBox(8, k.bar, k.wrong, Buttons(k.about, k.cancel, k.draw))
	k.sheet = s.Open("Contact sheet", "Frames of the clip side by side in one picture, with their numbers: a shot at a glance.",
		form, fyne.NewSize(700, 330), foot, k.every.Focusable())
	k.sheet.OnTyped(func(key fyne.KeyName) bool {
		if key == fyne.KeyReturn || key == fyne.KeyEnter {
			k.commit()
			return true
		}
		return false
	})
	k.sheet.OnClosed(func() {
		if k.stop != nil {
			k.stop()
		}
	})
	k.display()
}

func (k *contactSheet) viewChoices() fyne.CanvasObject {
	choices := look.NewSegments(view.Names(contact.Views), func(i int) {
		k.view = contact.Views[i]
		k.display()
	})
	for i, v := range contact.Views {
		if v == k.view {
			choices.Set(i)
		}
	}
	return look.HBox(0, choices)
}

func (k *contactSheet) everyField() fyne.CanvasObject {
	k.every = look.NewEntry(strconv.Itoa(contact.UsualEvery), "How far apart the frames are", nil)
	k.every.SetWidth(60)
	k.every.Set(strconv.Itoa(contact.UsualEvery))
	k.every.Typed(func(string) { k.display() })
	k.every.OnSubmitted(k.commit)
	word := func(s string) fyne.CanvasObject {
		return container.NewCenter(look.NewTightLabel(s, look.Style{Size: look.BodySize, Colour: look.Text}))
	}
	return look.HBox(8, word("one in"), k.every, word("of the part in work"))
}

func (k *contactSheet) pathField(m *study.Matte) fyne.CanvasObject {
	dir, _ := SuggestedPlace(k.desk)
	k.path = look.NewEntry("file", "Where the picture goes, a PNG", nil)
	k.path.Set(filepath.Join(dir, study.SafeName(k.desk.Study().Clip.Name()+"-"+m.Name+"-contact")+".png"))
	k.path.Typed(func(string) { k.display() })
	k.path.OnSubmitted(k.commit)
	return k.path
}

// asks returns what is to be drawn, or what is wrong with what was typed.
func (k *contactSheet) asks() (contact.Clip, string, error) {
	path := strings.TrimSpace(k.path.Now())
	n, err := strconv.Atoi(strings.TrimSpace(k.every.Now()))
	switch {
	case err != nil || n < 1:
		return contact.Clip{}, path, errors.New("a whole number is wanted, 1 or more: one in how many frames")
	case path == "":
		return contact.Clip{}, path, errors.New("a file's name is wanted")
	case !strings.EqualFold(filepath.Ext(path), ".png"):
		return contact.Clip{}, path, errors.New("a name that ends with .png is wanted")
	}
	return k.desk.ContactOf(k.view, n), path, nil
}

// display says what would be drawn.
func (k *contactSheet) display() {
	if k.sheet == nil || k.running.Load() {
		return
	}
	k.asked = ""
	k.draw.SetLabel("Draw")
	sheet, _, err := k.asks()
	if err != nil {
		k.wrong.SetText(desk.OneLine(err, lineLength))
		k.about.SetText("")
		k.draw.Disable()
		return
	}
	k.wrong.SetText("")
	k.about.SetText(fmt.Sprintf("%s of %s", desk.Counted(len(sheet.Frames), "frame"), k.shows()))
	k.draw.Enable()
}

// shows names what the frames show.
func (k *contactSheet) shows() string {
	if k.view == view.Trial {
		return "the trial"
	}
	return fmt.Sprintf("%s, %s", k.desk.Matte().Name, strings.ToLower(k.view.String()))
}

// commit draws the sheet, after asking where a file of that name is there.
func (k *contactSheet) commit() {
	sheet, path, err := k.asks()
	if err != nil || k.running.Load() {
		return
	}
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) && path != k.asked {
		k.asked = path
		k.draw.SetLabel("Replace")
		k.wrong.SetText("There is a file of that name. Press again to replace it.")
		return
	}
	k.run(sheet, path)
}

// run draws the sheet in the background; the window goes on meanwhile.
func (k *contactSheet) run(sheet contact.Clip, path string) {
	if !k.running.CompareAndSwap(false, true) {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	k.stop = cancel
	k.desk.PauseFollowing(false) // its frames are wanted now
	k.draw.Disable()
	k.wrong.SetText("")
	k.about.SetText("")
	k.cancel.SetLabel("Stop")
	k.bar.Set(0, math.NaN())
	k.bar.Show()
	pace := export.Pace{Start: time.Now()}
	sheet.Progress = func(done, total, _ int) {
		text := progressText(&pace, time.Now(), export.Progress{Done: done, Total: total})
		fyne.Do(func() {
			k.bar.Set(float64(done)/float64(total), math.NaN())
			k.about.SetText(text)
		})
	}
	go func() {
		picture, err := sheet.Draw(ctx)
		if err == nil {
			err = writePicture(path, picture)
		}
		fyne.Do(func() { k.finished(path, err) })
	}()
}

func writePicture(path string, m image.Image) error {
	return export.WriteFile(path, func(w io.Writer) error { return png.Encode(w, m) })
}

func (k *contactSheet) finished(path string, err error) {
	k.running.Store(false)
	k.stop = nil
	k.bar.Hide()
	k.cancel.SetLabel("Cancel")
	k.display() // nothing stays of what was said meanwhile
	switch {
	case errors.Is(err, context.Canceled):
		k.wrong.SetText("Stopped; nothing was written.")
	case err != nil:
		k.wrong.SetText(desk.OneLine(err, lineLength))
	default:
		k.of.host.Tell("wrote %s", path)
		k.about.SetText("Written: " + path)
		k.cancel.SetLabel("Close")
		k.cancel.Kind, k.draw.Kind = look.Prominent, look.Plain
		k.cancel.Refresh()
		k.draw.Refresh()
	}
}

// end stops the drawing under way, or closes the sheet.
func (k *contactSheet) end() {
	if k.running.Load() {
		k.stop()
		return
	}
	k.sheet.Close()
}
