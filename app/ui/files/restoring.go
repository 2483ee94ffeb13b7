package files

import (
	"context"
	"fmt"
	"time"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/work"
)

// unsaved is what desk.LeftBehind found of unsaved work.
type unsaved struct {
	work *study.Recovery
	err  error
}

// tellLeft says what was found of unsaved work: it is offered, or belongs to another window,
// or cannot be read.
func (f *Files) tellLeft(wk *work.Work, found unsaved) {
	switch left := found.work; {
	case found.err != nil:
		f.with.Messages.Report(desk.Problem{What: "Unsaved work of an earlier run cannot be read", ToDo: "Its file stays where it is.", Err: found.err})
	case left == nil:
	case left.InUse == nil:
		f.desk.Session.LeaveOffered()
		f.offer(wk, left)
	default:
		f.with.Messages.Report(desk.Problem{
			What: "The study is being worked on elsewhere too",
			ToDo: fmt.Sprintf("By process %d on %s, since %s. Whoever saves second is asked whose work is to stay.", left.InUse.PID, left.InUse.Host, left.InUse.Since.Format("15:04")),
		})
	}
}

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
		f.desk.KeepNow()
	})
	restore.Kind = look.Prominent
	f.with.Messages.Ask("Restore the unsaved work of "+when+"?", "It was kept when the program ended without closing.", restore)
}
