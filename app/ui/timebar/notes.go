package timebar

import (
	"fmt"

	"halocline/app/check/shot"
	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ui/timeline"
)

// Notes are what the strip shows of a verdict.
func Notes(v watch.Verdict) (n timeline.Notes) {
	for i := range v.Judged {
		if j := &v.Judged[i]; j.Err == nil {
			note := timeline.Note{Frame: j.Number, Area: j.Area, Rough: j.Proxy, Flicker: j.Flicker, Leak: j.Leak(), Sure: j.Confidence, Words: j.CutWords(), Stale: j.Stale}
			if j.Seam != nil {
				note.Misfit = &j.Seam.Misfit
			}
			n.Notes = append(n.Notes, note)
		}
	}
	for i, f := range v.Findings[:min(desk.Flagged, len(v.Findings))] {
		if f.StandsOut() {
			n.Flags = append(n.Flags, timeline.Flag{Frame: f.Frame, Rank: i + 1, Words: f.Sentence})
		}
	}
	return n
}

// ShowVerdict shows what was found of the chosen matte over the clip.
func (b *Bar) ShowVerdict(v watch.Verdict) {
	b.area.SetNotes(Notes(v))
	b.area.SetChecking(progressOf(v))
	if v.Left > 0 {
		return
	}
	worst := shot.Finding{Frame: -1}
	if len(v.Findings) > 0 {
		worst = v.Findings[0]
	}
	b.with.Journal.Tell("judged %d %d %.2f", v.Of, worst.Frame, worst.Badness)
	b.with.Journal.TellPlaces()
}

// progressOf is how much of a clip is judged; "" once all of it is.
func progressOf(v watch.Verdict) string {
	if v.Left == 0 {
		return ""
	}
	return fmt.Sprintf("%d %%", 100*(v.Of-v.Left)/v.Of)
}
