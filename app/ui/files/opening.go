package files

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/work"
)

// Start opens what the window begins with.
func (f *Files) Start(path string) {
	f.recent.show()
	if path != "" {
		f.Open(path)
		return
	}
	f.OpenSample()
}

// Open opens a study or a picture in the background.
func (f *Files) Open(path string) {
	f.opens++
	turn := f.opens
	f.with.Status.Busy("reading " + filepath.Base(path))
	go func() {
		wk, err := work.Open(context.Background(), path)
		var left unsaved
		if err == nil {
			left.work, left.err = desk.LeftBehind(wk)
		}
		fyne.Do(func() {
			if turn != f.opens { // another file was asked for since
				if err == nil {
					wk.Close()
				}
				return
			}
			f.with.Status.Busy("")
			if err != nil {
				f.notOpened(path, err)
				return
			}
			f.take(wk, left)
		})
	}()
}

// notOpened says why a file was not opened. Where a study's picture is missing
// or has changed, it can be found.
func (f *Files) notOpened(path string, err error) {
	var footage *study.FootageError
	if !errors.As(err, &footage) {
		f.with.Messages.Report(desk.Problem{What: "Not opened: " + filepath.Base(path), ToDo: advice(err), Err: err})
		return
	}
	find := look.NewButton("Find it…", func() {
		f.over.PickFile(footageEndings[1:], func(picture string) { f.openWith(path, picture) })
	})
	find.Kind = look.Prominent
	what := fmt.Sprintf("Not opened: %s wants %s", filepath.Base(path), filepath.Base(footage.Path))
	f.with.Messages.Report(desk.Problem{What: what, ToDo: advice(err), Err: err}, find)
}

// openWith opens a study with its picture found elsewhere; that is a change not
// yet saved.
func (f *Files) openWith(path, picture string) {
	s, err := study.Load(path)
	if err == nil {
		s.Clip.Path = picture
		var wk *work.Work
		if wk, err = work.FromStudy(context.Background(), s, path); err == nil {
			f.Leave()
			f.begin(wk, study.RecoveredSession(&study.Recovery{Study: s, Path: study.AutosavePath(path)}, path))
			f.desk.KeepSaving()
			f.recent.remember(wk)
			f.with.Messages.Hide()
			f.with.Journal.Tell("opened %s", f.desk.StudyName())
			return
		}
	}
	f.notOpened(path, err)
}

// OpenSample opens the embedded frame with a study that nearly keeps its skin.
func (f *Files) OpenSample() {
	f.opens++
	turn := f.opens
	go func() {
		wk, truth, err := work.Sample(context.Background(), filepath.Join(desk.Folder(), "sample"))
		var left unsaved
		if err == nil {
			left.work, left.err = desk.LeftBehind(wk)
		}
		fyne.Do(func() {
			if turn != f.opens {
				if err == nil {
					wk.Close()
				}
				return
			}
			if err != nil {
				f.with.Messages.Report(desk.Problem{What: "The sample cannot be unpacked", ToDo: "Open a picture of your own.", Err: err})
				return
			}
			f.take(wk, left)
			f.desk.Set(func() { f.desk.Truth, f.desk.TrueOf, f.desk.TrueAt = &truth, f.desk.MatteID, f.desk.Frame })
		})
	}()
}

// take makes a work the one that the window is about.
func (f *Files) take(wk *work.Work, left unsaved) {
	f.Leave()
	f.begin(wk, study.LoadedSession(wk.Study, wk.Path, wk.File))
	f.recent.remember(wk)
	f.with.Messages.Hide()
	f.with.Journal.Tell("opened %s", f.desk.StudyName())
	if said := wk.Said(); len(said) > 0 {
		f.with.Messages.Report(desk.Problem{What: strings.Join(said, "; ")}) // each names its file
	}
	f.tellLeft(wk, left)
}
