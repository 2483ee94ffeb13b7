package sheets

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net/url"
	"path/filepath"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/export"
	"halocline/app/ui/look"
)

// run writes the files, unless the user has to decide first.
func (e *exportSheet) run() {
	job, err := e.job(e.desk.Study())
	if err != nil || e.running.Load() {
		return
	}
	ahead, err := job.Ahead()
	switch {
	case err != nil:
		e.wrong.SetText(desk.OneLine(err, lineLength))
	case ahead.Replaced > 0 && !e.replace:
		e.ask(ahead)
	default:
		e.write(job)
	}
}

// askRow is what asks before files of other settings are replaced.
func (e *exportSheet) askRow() fyne.CanvasObject {
	e.asked = look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.White})
	replace := look.NewButton("Replace them", func() { e.decided(false) })
	count := look.NewButton("Count up", func() { e.decided(true) })
	count.SetHint("Keep them, and put {version} into the names")
	count.Kind = look.Prominent
	back := look.NewButton("Back", func() { e.question.Hide() })
	e.question = look.Ground(look.Card, look.Pad(10, 6, 10, 6, container.NewBorder(nil, nil, nil, look.HBox(8, back, replace, count), e.asked)))
	e.question.Hide()
	return look.Fixed(0, 40, e.question)
}

// ask asks what is to become of files that were made with other settings.
func (e *exportSheet) ask(a export.Ahead) {
	e.asked.SetText(fmt.Sprintf("%d of %d files there are of other settings.", a.Replaced, a.Replaced+a.Same+a.Fresh))
	e.question.Show()
	e.of.host.TellPlaces()
}

// decided goes on with the answer: to replace the files, or to count versions.
func (e *exportSheet) decided(count bool) {
	e.question.Hide()
	if count {
		e.pattern.Set("v{version}/" + e.pattern.Now())
		e.display()
	}
	job, err := e.job(e.desk.Study())
	if err != nil {
		e.wrong.SetText(desk.OneLine(err, lineLength))
		return
	}
	e.write(job)
}

// write writes the files in the background; the window goes on meanwhile.
func (e *exportSheet) write(job export.Job) {
	if !e.running.CompareAndSwap(false, true) {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	e.stop = cancel
	e.desk.PauseFollowing(false) // its frames are wanted now
	e.start.Disable()
	e.bar.Set(0, math.NaN())
	e.bar.Show()
	job.Notice = func(sentence string) {
		fyne.Do(func() { e.about.SetText(sentence) })
	}
	pace := export.Pace{Start: time.Now()}
	job.Progress = func(s export.Progress) {
		text := progressText(&pace, time.Now(), s)
		fyne.Do(func() {
			e.bar.Set(float64(s.Done)/float64(s.Total), math.NaN())
			e.about.SetText(text)
		})
	}
	go func() {
		files, err := job.Run(ctx)
		fyne.Do(func() { e.finished(files, err) })
	}()
}

// progressText is how far an export is: "12 of 72, about 34 s left".
func progressText(pace *export.Pace, now time.Time, s export.Progress) string {
	text := fmt.Sprintf("%d of %d", s.Done, s.Total)
	left, ok := pace.Left(now, s)
	switch seconds := int(left.Seconds() + 0.5); {
	case !ok || s.Done == s.Total:
		return text
	case seconds > 100:
		return fmt.Sprintf("%s, about %d min left", text, (seconds+30)/60)
	default:
		return fmt.Sprintf("%s, about %d s left", text, seconds)
	}
}

func (e *exportSheet) finished(files []export.Entry, err error) {
	e.running.Store(false)
	e.stop = nil
	e.bar.Hide()
	e.display() // nothing stays of what was said meanwhile
	switch {
	case errors.Is(err, context.Canceled):
		n, _ := picturesIn(files)
		e.wrong.SetText(fmt.Sprintf("Stopped; %d written before that stay.", n))
	case err != nil:
		e.wrong.SetText(desk.OneLine(err, lineLength))
	default:
		n, size := picturesIn(files)
		e.wrong.SetText(emptyText(files))
		e.of.host.Tell("exported %d %s", n, e.folder.Now())
		e.example.SetText(fmt.Sprintf("Written: %d of %d, %s, into %s", n, n, bytesText(size), e.folder.Now()))
		e.cancel.SetLabel("Close")
		e.cancel.Kind, e.start.Kind = look.Prominent, look.Plain
		e.cancel.Refresh()
		e.start.Refresh()
		e.showFolder.Show()
	}
}

// emptyText says of the first matte that keeps nothing on which frames, and how many more
// there are; "" for none.
func emptyText(files []export.Entry) string {
	lines := export.EmptyLines(files)
	switch n := len(lines); n {
	case 0:
		return ""
	case 1:
		return desk.Capital(lines[0])
	default:
		return fmt.Sprintf("%s; %s more", desk.Capital(lines[0]), desk.Counted(n-1, "matte"))
	}
}

// picturesIn counts the pictures of frames among files, and the bytes of all.
func picturesIn(files []export.Entry) (n int, size int64) {
	for _, f := range files {
		if f.Kind.IsFrame() {
			n++
		}
		size += f.Size
	}
	return n, size
}

// end stops an export under way, or closes the sheet.
func (e *exportSheet) end() {
	if e.running.Load() {
		e.stop()
		return
	}
	e.sheet.Close()
}

func (e *exportSheet) openFolder() {
	if err := fyne.CurrentApp().OpenURL(&url.URL{Scheme: "file", Path: filepath.ToSlash(e.folder.Now())}); err != nil {
		e.wrong.SetText("No program here shows folders: it is " + e.folder.Now())
	}
}
