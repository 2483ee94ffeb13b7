package files

import (
	"errors"
	"path/filepath"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/sheets"
)

// AskBefore goes on once unsaved work is saved or given up.
func (f *Files) AskBefore(next func()) {
	if !f.desk.Unsaved() {
		next()
		return
	}
	title, about := questionOf(f.desk)
	f.over.Question(title, about,
		sheets.Choice{Label: "Back"}, sheets.Choice{Label: "Discard", Run: next}, sheets.Choice{Label: "Save", Main: true, Run: func() { f.Save(next) }})
}

// questionOf is what is asked before unsaved work is left. Work that has no file yet is named
// after its picture, which is never written.
func questionOf(d *desk.Desk) (title, about string) {
	if d.Session.Path() == "" {
		return "Save the work on " + d.StudyName() + " as a study?", "It is in no file yet. A study is a file of its own: the picture stays as it is."
	}
	return "Save the work on " + d.StudyName() + "?", "It has changes that are not in its file."
}

// AskToOpen opens a file once unsaved work is saved or given up.
func (f *Files) AskToOpen(path string) { f.AskBefore(func() { f.Open(path) }) }

// Save writes the study to its file, or asks for one; then, if it is given,
// goes on.
func (f *Files) Save(then func()) {
	if f.desk.Session.Path() == "" {
		f.SaveAs(then)
		return
	}
	f.written(f.desk.Save(), then)
}

// written goes on after the study was written to its file, or tells why it was not. Where
// another program has changed the file since, the user decides.
func (f *Files) written(err error, then func()) {
	var changed *study.ChangedError
	switch {
	case err == nil:
		f.with.Journal.Tell("saved %s", f.desk.Session.Path())
		f.saved(then)
	case errors.As(err, &changed):
		f.askWhose(changed, then)
	case errors.Is(err, study.ErrLocked):
		f.with.Messages.Report(desk.Problem{What: "Not saved", ToDo: "Another program is writing the study: save again when it has ended.", Err: err})
	default:
		f.with.Messages.Report(desk.Problem{What: "Not saved", ToDo: "Your work is still here: free some room, or save it elsewhere.", Err: err})
	}
}

// askWhose asks whose work is to stay: the study's file was changed by another program.
func (f *Files) askWhose(changed *study.ChangedError, then func()) {
	f.with.Journal.Tell("changed %s", changed.Path)
	f.over.Question("Another program has changed "+filepath.Base(changed.Path),
		"It was written "+changed.Time.Format("2 January, 15:04:05")+", after you opened it. Take theirs makes it the study you work on, as an edit that Undo takes back. Keep mine writes your work over it.",
		sheets.Choice{Label: "Back"},
		sheets.Choice{Label: "Take theirs", Run: func() { f.takeTheirs(then) }},
		sheets.Choice{Label: "Keep mine", Run: func() { f.written(f.desk.KeepMine(), then) }},
		sheets.Choice{Label: "Save as…", Main: true, Run: func() { f.SaveAs(then) }})
}

func (f *Files) takeTheirs(then func()) {
	if err := f.desk.TakeTheirs(); err != nil {
		f.with.Messages.Report(desk.Problem{What: "Not taken", ToDo: "Save your work under another name, then open theirs.", Err: err})
		return
	}
	f.with.Journal.Tell("took %s", f.desk.Session.Path())
	f.saved(then)
}

// SaveAs asks for a folder and a name, and saves there; then, if it is given, goes on.
func (f *Files) SaveAs(then func()) {
	dir, name := sheets.SuggestedPlace(f.desk)
	f.over.AskPlace(sheets.Place{
		Title: "Save the study", About: "One file; the picture stays where it is.", Label: "Save",
		Dir: dir, Name: name, Kind: "study", Own: f.desk.Session.Path(), Endings: []string{study.Ending},
		Take: f.saveTo, Done: func() { f.saved(then) },
	})
}

func (f *Files) saved(then func()) {
	f.desk.Refresh()
	if then != nil {
		then()
	}
}

// saveTo writes the study to a file that becomes its own.
func (f *Files) saveTo(path string) error {
	if err := f.desk.SaveTo(path); err != nil {
		return err
	}
	f.with.Journal.Tell("saved %s", path)
	f.recent.add(path)
	return nil
}
