package ui

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"
	"time"

	"fyne.io/fyne/v2"

	"halocline/app/clip"
	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
	"halocline/app/work"
)

// start opens what the window begins with.
func (w *window) start(path string) {
	if path != "" {
		w.open(path)
		return
	}
	w.openSample()
}

// open opens a study or a picture in the background.
func (w *window) open(path string) {
	w.status.Busy("reading " + filepath.Base(path))
	go func() {
		wk, err := work.Open(context.Background(), path)
		var left *study.Recovery
		if err == nil {
			left = desk.LeftBehind(wk)
		}
		fyne.Do(func() {
			w.status.Busy("")
			if err != nil {
				w.notOpened(path, err)
				return
			}
			w.take(wk, left)
		})
	}()
}

// notOpened says why a file was not opened. Where a study's picture is missing
// or has changed, it can be found.
func (w *window) notOpened(path string, err error) {
	var footage *study.FootageError
	if !errors.As(err, &footage) {
		w.report(desk.Problem{What: "Not opened: " + filepath.Base(path), ToDo: whatToDo(err), Err: err})
		return
	}
	find := look.NewButton("Find it…", func() {
		w.sheets.PickFile(footageEndings[1:], func(picture string) { w.openWith(path, picture) })
	})
	find.Kind = look.Prominent
	what := fmt.Sprintf("Not opened: %s wants %s", filepath.Base(path), filepath.Base(footage.Path))
	w.journal.tell("problem %s", what)
	w.say(look.Failed, what, whatToDo(err), func() { w.sheets.OpenDetails(desk.Problem{What: what, ToDo: whatToDo(err), Err: err}) }, find)
}

// openWith opens a study with its picture found elsewhere; that is a change not
// yet saved.
func (w *window) openWith(path, picture string) {
	s, err := study.Load(path)
	if err == nil {
		s.Clip.Path = picture
		var wk *work.Work
		if wk, err = work.FromStudy(context.Background(), s, path); err == nil {
			w.leave()
			w.begin(wk, study.RecoveredSession(&study.Recovery{Study: s, Path: study.AutosavePath(path)}, path))
			w.desk.KeepSaving()
			w.remember(wk)
			w.hideBands()
			w.journal.tell("opened %s", w.desk.StudyName())
			return
		}
	}
	w.notOpened(path, err)
}

// openSample opens the embedded frame with a study that nearly keeps its skin.
func (w *window) openSample() {
	go func() {
		wk, truth, err := work.Sample(context.Background(), filepath.Join(desk.Folder(), "sample"))
		var left *study.Recovery
		if err == nil {
			left = desk.LeftBehind(wk)
		}
		fyne.Do(func() {
			if err != nil {
				w.report(desk.Problem{What: "The sample cannot be unpacked", ToDo: "Open a picture of your own.", Err: err})
				return
			}
			w.take(wk, left)
			w.desk.Set(func() { w.desk.Truth, w.desk.TrueOf, w.desk.TrueAt = &truth, w.desk.MatteID, w.desk.Frame })
		})
	}()
}

// take makes a work the one that the window is about.
func (w *window) take(wk *work.Work, left *study.Recovery) {
	w.leave()
	w.begin(wk, study.NewSession(wk.Study, wk.Path))
	w.remember(wk)
	w.hideBands()
	w.journal.tell("opened %s", w.desk.StudyName())
	if said := wk.Said(); len(said) > 0 {
		w.report(desk.Problem{What: strings.Join(said, "; ")}) // each names its file
	}
	if left != nil {
		w.desk.Session.LeaveOffered()
		w.offer(wk, left)
	}
}

// offer asks whether to go on with unsaved work of an earlier run.
func (w *window) offer(wk *work.Work, left *study.Recovery) {
	when := left.Time.Format("15:04")
	if time.Since(left.Time) > 20*time.Hour {
		when = left.Time.Format("2 January, 15:04")
	}
	restore := look.NewButton("Restore", func() {
		again, err := work.FromStudy(context.Background(), left.Study, wk.Path)
		if err != nil {
			w.report(desk.Problem{What: "Not restored", ToDo: whatToDo(err), Err: err})
			return
		}
		w.leave()
		w.begin(again, study.RecoveredSession(left, wk.Path))
		w.hideBands()
		if err := w.desk.Session.Autosave(); err != nil {
			w.report(desk.Problem{What: "Unsaved work cannot be kept", ToDo: "Save the study yourself, perhaps elsewhere.", Err: err})
		}
		w.desk.KeepSaving()
	})
	restore.Kind = look.Prominent
	w.say(look.Caution, "Restore the unsaved work of "+when+"?", "It was kept when the program ended without closing.", nil, restore)
}

// begin starts a session in the window.
func (w *window) begin(wk *work.Work, s *study.Session) {
	info := wk.Clip.Info()
	if w.sized != nil {
		w.sized(info.Width * info.Height)
	}
	w.desk.Begin(wk, s)
	w.viewer.SetPicture(info.Width, info.Height)
	w.desk.Refresh()
}

// leave ends the session that is open. What is unsaved is given up.
func (w *window) leave() {
	w.endPlay()
	w.desk.Leave()
}

// askBefore goes on once unsaved work is saved or given up.
func (w *window) askBefore(next func()) {
	if !w.desk.Unsaved() {
		next()
		return
	}
	w.sheets.Question("Save the work on "+w.desk.StudyName()+"?", "It has changes that are not in its file.",
		sheets.Choice{Label: "Back"}, sheets.Choice{Label: "Discard", Run: next}, sheets.Choice{Label: "Save", Main: true, Run: func() { w.save(next) }})
}

func (w *window) askToOpen(path string) { w.askBefore(func() { w.open(path) }) }

// askToClose ends the program, after asking about unsaved work.
func (w *window) askToClose() {
	w.askBefore(func() {
		w.sheets.Close() // which ends what it has under way
		w.leave()
		w.stopWorking()
		w.win.SetCloseIntercept(nil)
		w.win.Close()
	})
}

// save writes the study to its file, or asks for one; then, if it is given,
// goes on.
func (w *window) save(then func()) {
	if w.desk.Session.Path() == "" {
		w.saveAs(then)
		return
	}
	if err := w.desk.Session.Save(); err != nil {
		w.report(desk.Problem{What: "Not saved", ToDo: "Your work is still here: free some room, or save it elsewhere.", Err: err})
		return
	}
	w.journal.tell("saved %s", w.desk.Session.Path())
	w.saved(then)
}

func (w *window) saved(then func()) {
	w.desk.Refresh()
	if then != nil {
		then()
	}
}

// saveTo writes the study to a file that becomes its own.
func (w *window) saveTo(path string) error {
	if err := w.desk.SaveTo(path); err != nil {
		return err
	}
	w.journal.tell("saved %s", path)
	w.addRecent(path)
	return nil
}

// whatToDo is advice about an error, in words for the user.
func whatToDo(err error) string {
	var footage *study.FootageError
	switch {
	case errors.As(err, &footage) && errors.Is(err, fs.ErrNotExist):
		return "Its picture is missing: put it back, or open the picture itself."
	case errors.As(err, &footage):
		return "Its picture is not the one the study was made from."
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, clip.ErrMissing):
		return "There is no such file any more."
	case errors.Is(err, fs.ErrPermission):
		return "You may not read it: change its permissions."
	case errors.Is(err, clip.ErrProgram):
		return "Movies are read by the programs ffmpeg and ffprobe: install ffmpeg, then open it again."
	case errors.Is(err, clip.ErrNotPicture):
		return "Open a PNG, JPEG, TIFF, BMP or WebP picture, a movie, or a study."
	case errors.Is(err, clip.ErrDamaged):
		return "It is damaged: open a copy of it, or write it again."
	case errors.Is(err, clip.ErrUnsupported):
		return "It is of a kind that is not read here: save it as PNG or TIFF."
	case errors.Is(err, clip.ErrTooLarge):
		return "It is too large to be opened."
	}
	return "Open another file."
}

// stopWorking ends all that works in the background.
func (w *window) stopWorking() {
	w.preview.Jobs.Stop()
	w.desk.Stop()
}
