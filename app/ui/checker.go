package ui

import (
	"fmt"

	"halocline/app/check/shot"
	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ui/timeline"
)

// notesOf are what the strip shows.
func notesOf(judged []shot.Judged, found []shot.Finding) (n timeline.Notes) {
	for i := range judged {
		if j := &judged[i]; j.Err == nil {
			note := timeline.Note{Frame: j.Number, Area: j.Area, Flicker: j.Flicker, Leak: j.Leak(), Stale: j.Stale}
			if j.Seam != nil {
				note.Misfit = &j.Seam.Misfit
			}
			n.Notes = append(n.Notes, note)
		}
	}
	for i, f := range found[:min(desk.Flagged, len(found))] {
		if f.StandsOut() {
			n.Flags = append(n.Flags, timeline.Flag{Frame: f.Frame, Rank: i + 1, Words: f.Sentence})
		}
	}
	return n
}

// showVerdict shows what was found of the chosen matte over the clip.
func (w *window) showVerdict(v watch.Verdict) {
	w.time.area.SetNotes(notesOf(v.Judged, v.Findings))
	progress := ""
	if v.Left > 0 {
		progress = fmt.Sprintf("%d %%", 100*(v.Of-v.Left)/v.Of)
	}
	w.time.area.SetChecking(progress)
	w.judge.Display()
	w.showMenus()
	if v.Left > 0 {
		return
	}
	worst := shot.Finding{Frame: -1}
	if len(v.Findings) > 0 {
		worst = v.Findings[0]
	}
	w.journal.tell("judged %d %d %.2f", v.Of, worst.Frame, worst.Badness)
	w.TellPlaces()
}
