package ui

import (
	"fmt"

	"halocline/app/study"
	"halocline/selection"
)

// A suggestion is what the dabs ask for, shown before it is taken.
type suggestion struct {
	matteID int
	about   *study.Study // it was worked out for
	pick    selection.Pick
	lines   []string // what would change
	notes   []string
	before  *selection.Separation // nil where the dabs are too few
	after   *selection.Separation
}

// suggest works out what the dabs ask for and shows it.
func (w *window) suggest() {
	m := w.desk.Matte()
	if m == nil {
		return
	}
	if why := w.whyNoSuggestion(); why != "" {
		w.report(problem{what: "No suggestion yet", todo: why})
		return
	}
	s, frame, old := w.desk.Study(), w.desk.Frame, m.Pick.At(w.desk.Frame)
	w.openStep(StepPick)
	w.withSamples(*m, m.Dabs, func(samples []selection.Dab, err error) {
		if err != nil || w.desk.Frame != frame || w.desk.MatteID != m.ID {
			return
		}
		fitted, err := selection.FitAuto(samples)
		if err != nil {
			w.report(problem{"No suggestion", "Put a keep dab on what the matte must keep.", err})
			return
		}
		sg := &suggestion{matteID: m.ID, about: s, pick: fitted.Pick, notes: fitted.Notes, lines: differences(old, fitted.Pick)}
		if a, err := selection.MeasureSeparationEach(samples, m.PicksOfDabs()); err == nil {
			sg.before = &a
		}
		if b, err := selection.MeasureSeparation(samples, fitted.Pick); err == nil {
			sg.after = &b
		}
		w.pickPanel().offer(sg)
	})
}

// better reports whether a suggestion tells the dabs apart better than what is set.
func (s *suggestion) better() bool {
	if len(s.lines) == 0 {
		return false
	}
	return s.before == nil || s.after == nil || s.after.Pick.Set.Value > s.before.Pick.Set.Value-0.005
}

// whyNoSuggestion says what is missing for one; "" for nothing.
func (w *window) whyNoSuggestion() string {
	m := w.desk.Matte()
	if m == nil {
		return "There is no matte: make one first."
	}
	keep, drop := countDabs(m)
	switch {
	case keep == 0 && drop == 0:
		return "Press on what the matte must keep: a keep dab. Two or three make a better start."
	case keep == 0:
		return "There are drop dabs alone: press on what the matte must keep."
	case keep+drop < 2:
		return "One dab tells too little: put another on what to keep, or on what to leave out."
	}
	return ""
}

func countDabs(m *study.Matte) (keep, drop int) {
	for _, d := range m.Dabs {
		if d.Kind == study.Keep {
			keep++
		} else {
			drop++
		}
	}
	return keep, drop
}

// differences says what would change from one pick to another.
func differences(a, b selection.Pick) (lines []string) {
	if a.Model != b.Model {
		lines = append(lines, fmt.Sprintf("%s instead of %s", modelName(b.Model), modelName(a.Model)))
	}
	for c := range b.Limits {
		x, y := describe(a, selection.Channel(c)), describe(b, selection.Channel(c))
		if x != y {
			lines = append(lines, x+" becomes "+y)
		}
	}
	return lines
}

func describe(p selection.Pick, c selection.Channel) string {
	if p.Limits[c].Off {
		return shortName(p.Model, c) + " off"
	}
	return limitSummary(p.Model, c, p.Limits[c])
}

func title(s string) string { return string(s[0]-'a'+'A') + s[1:] }
