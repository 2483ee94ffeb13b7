package files

import (
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
	f.over.Question("Save the work on "+f.desk.StudyName()+"?", "It has changes that are not in its file.",
		sheets.Choice{Label: "Back"}, sheets.Choice{Label: "Discard", Run: next}, sheets.Choice{Label: "Save", Main: true, Run: func() { f.Save(next) }})
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
	if err := f.desk.Session.Save(); err != nil {
		f.with.Messages.Report(desk.Problem{What: "Not saved", ToDo: "Your work is still here: free some room, or save it elsewhere.", Err: err})
		return
	}
	f.with.Journal.Tell("saved %s", f.desk.Session.Path())
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
