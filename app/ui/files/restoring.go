package files

import (
	"context"
	"time"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/work"
)

// offer asks whether to go on with unsaved work of an earlier run.
func (f *Files) offer(wk *work.Work, left *study.Recovery) {
	when := left.Time.Format("15:04")
	if time.Since(left.Time) > 20*time.Hour {
		when = left.Time.Format("2 January, 15:04")
	}
	restore := look.NewButton("Restore", func() {
		again, err := work.FromStudy(context.Background(), left.Study, wk.Path)
		if err != nil {
			f.with.Messages.Report(desk.Problem{What: "Not restored", ToDo: advice(err), Err: err})
			return
		}
		f.Leave()
		f.begin(again, study.RecoveredSession(left, wk.Path))
		f.with.Messages.Hide()
		if err := f.desk.Session.Autosave(); err != nil {
			f.with.Messages.Report(desk.Problem{What: "Unsaved work cannot be kept", ToDo: "Save the study yourself, perhaps elsewhere.", Err: err})
		}
		f.desk.KeepSaving()
	})
	restore.Kind = look.Prominent
	f.with.Messages.Ask("Restore the unsaved work of "+when+"?", "It was kept when the program ended without closing.", restore)
}
