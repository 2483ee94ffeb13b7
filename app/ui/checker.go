package ui

import (
	"fmt"
	"slices"

	"halocline/app/check"
	"halocline/app/ui/timeline"
)

// notesOf are what the strip shows.
func notesOf(judged []check.Judged, found []check.Finding) (n timeline.Notes) {
	orNot := func(v *float64) float64 {
		if v == nil {
			return -1
		}
		return *v
	}
	for i := range judged {
		if j := &judged[i]; j.Err == nil {
			note := timeline.Note{Frame: j.Number, Area: j.Area, Flicker: orNot(j.Flicker), Leak: orNot(j.Leak()), Stale: j.Stale}
			if j.Seam != nil {
				note.Misfit = j.Seam.Misfit
			}
			n.Notes = append(n.Notes, note)
		}
	}
	for i, f := range found[:min(flagged, len(found))] {
		if f.StandsOut() {
			n.Flags = append(n.Flags, timeline.Flag{Frame: f.Frame, Rank: i + 1, Words: f.Sentence})
		}
	}
	return n
}

// check asks for the chosen matte to be judged over the clip, once the hand
// rests.
func (w *window) check() { w.checker.jobs.ask(w.checkJob()) }

// checkJob is what there is to be judged now: nothing while the hand is at work.
func (w *window) checkJob() checkJob {
	d := w.desk
	m := d.Matte()
	if m == nil || !w.desk.Several() || d.Dragging() || w.desk.Scrubbing || w.desk.Plays() {
		return checkJob{}
	}
	shot := check.Shot{Source: d.Work.Clip, Study: d.Study(), Settings: &m.Settings, Dabs: m.Dabs, Frames: w.desk.Frames(), Workers: 1}
	if d.Work.Clip.Info().Width >= checkWide {
		shot.Factor = 2
	}
	return checkJob{shot, m.ID, w.checker.line(m.ID)}
}

// takeVerdict shows what was found of the chosen matte over the clip.
func (w *window) takeVerdict(v verdict) {
	if v.matteID != w.desk.MatteID || v.line != w.checker.lines[v.matteID] || !w.desk.Several() {
		return
	}
	w.desk.Verdict = v
	w.time.area.SetNotes(v.notes)
	progress := ""
	if v.left > 0 {
		progress = fmt.Sprintf("%d %%", 100*(v.of-v.left)/v.of)
	}
	w.time.area.SetChecking(progress)
	w.judge.display()
	w.showMenus()
	if v.left == 0 {
		worst := check.Finding{Frame: -1}
		if len(v.findings) > 0 {
			worst = v.findings[0]
		}
		w.journal.tell("judged %d %d %.2f", v.of, worst.Frame, worst.Badness)
		w.tellPlaces()
	}
}

// NextWorst goes to the worst frame, or from one of the worst to the next.
func (d *Desk) NextWorst() {
	found := d.Verdict.findings
	if len(found) == 0 {
		return
	}
	at := slices.IndexFunc(found, func(f check.Finding) bool { return f.Frame == d.Frame })
	d.GoToFrame(found[(at+1)%len(found)].Frame)
}

func (d *Desk) KnowsWorst() bool {
	return d.Several() && d.Verdict.matteID == d.MatteID && len(d.Verdict.findings) > 0
}
