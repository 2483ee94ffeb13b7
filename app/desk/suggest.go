package desk

import (
	"fmt"
	"unicode"
	"unicode/utf8"

	"halocline/app/study"
	"halocline/selection"
)

// A Suggestion is what the dabs ask for, shown before it is taken.
type Suggestion struct {
	MatteID int                   // the matte whose dabs ask for it
	About   *study.Study          // it was worked out for
	Pick    selection.Pick        // what they ask for
	Lines   []string              // what would change
	Notes   []string              // of the fit, for the user
	Before  *selection.Separation // nil where the dabs are too few
	After   *selection.Separation // likewise
}

// SuggestLabel is what Suggest is called, and the edit that takes its offer.
const SuggestLabel = "Suggest from dabs"

// Suggest opens Pick and works out in the background what the dabs ask for; Offer has it
// then. What is missing for one is reported.
func (d *Desk) Suggest() {
	m := d.Matte()
	if m == nil {
		return
	}
	if why := d.WhyNoSuggestion(); why != "" {
		d.Report(Problem{What: "No suggestion yet", ToDo: why})
		return
	}
	d.GoToStep(StepPick)
	frame := d.Frame
	offer := &Suggestion{MatteID: m.ID, About: d.Study()}
	var failed error
	work := func(samples []selection.Dab) (selection.Pick, bool) {
		failed = offer.workOut(m, frame, samples)
		return offer.Pick, true
	}
	d.withPick(m, m.Dabs, work, func(_ selection.Pick, _ bool, err error) {
		switch {
		case err != nil || d.Frame != frame || d.MatteID != m.ID: // the user went on meanwhile
		case failed != nil:
			d.Report(Problem{"No suggestion", "Put a keep dab on what the matte must keep.", failed})
		default:
			d.Offer = offer
			d.Refresh()
		}
	})
}

// dropOffer forgets a suggestion that is not for the chosen matte as it is.
func (d *Desk) dropOffer() {
	if s := d.Offer; s != nil && (s.About != d.Study() || s.MatteID != d.MatteID) {
		d.Offer = nil
	}
}

// workOut fits the samples of a matte's dabs, and says what that would change at a
// frame. A pick by plane stays one; else the fit takes the better model.
func (s *Suggestion) workOut(m *study.Matte, frame int, samples []selection.Dab) error {
	fit := selection.FitAuto
	if m.Pick.Model == selection.PlaneModel {
		fit = func(d []selection.Dab) (selection.Fitted, error) { return selection.Fit(d, selection.PlaneModel) }
	}
	fitted, err := fit(samples)
	if err != nil {
		return err
	}
	s.Pick, s.Notes = m.KeepFades(fitted.Pick, frame), fitted.Notes
	s.Lines = Differences(m.Pick.At(frame), s.Pick)
	if a, err := selection.MeasureSeparationEach(samples, m.PicksOfDabs()); err == nil {
		s.Before = &a
	}
	if b, err := selection.MeasureSeparation(samples, s.Pick); err == nil {
		s.After = &b
	}
	return nil
}

// Better reports whether a suggestion tells the dabs apart better than what is set.
func (s *Suggestion) Better() bool {
	if len(s.Lines) == 0 {
		return false
	}
	return s.Before == nil || s.After == nil || s.After.Pick.Set.Value > s.Before.Pick.Set.Value-0.005
}

// Take makes a suggestion the chosen matte's pick, which follows its dabs from then on.
func (d *Desk) Take(s *Suggestion) {
	d.EditMatte(SuggestLabel, func(m *study.Matte) error {
		m.TakeFit(s.Pick, d.Frame)
		return nil
	})
}

// WhyNoSuggestion says what is missing for one; "" for nothing.
func (d *Desk) WhyNoSuggestion() string {
	m := d.Matte()
	if m == nil {
		return "There is no matte: make one first."
	}
	keep, drop := CountDabs(m)
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

// CountDabs counts the dabs of each kind that a matte's pick has on all frames.
func CountDabs(m *study.Matte) (keep, drop int) { return countKinds(m.Dabs) }

func countKinds(dabs []study.Dab) (keep, drop int) {
	for _, d := range dabs {
		if d.Kind == study.Keep {
			keep++
		} else {
			drop++
		}
	}
	return keep, drop
}

// Differences says what would change from one pick to another.
func Differences(a, b selection.Pick) (lines []string) {
	if a.Model != b.Model {
		lines = append(lines, fmt.Sprintf("%s instead of %s", ModelName(b.Model), ModelName(a.Model)))
	}
	if a.Model != b.Model && (a.Model == selection.PlaneModel || b.Model == selection.PlaneModel) {
		return lines // they have no channel in common
	}
	if a.Normal != b.Normal {
		lines = append(lines, "the plane turns")
	}
	for _, c := range b.Model.Channels() {
		x, y := describe(a, c), describe(b, c)
		if x != y {
			lines = append(lines, x+" becomes "+y)
		}
	}
	return lines
}

func describe(p selection.Pick, c selection.Channel) string {
	if p.Limits[c].Off {
		return ShortName(p.Model, c) + " off"
	}
	return limitSummary(p.Model, c, p.Limits[c])
}

// Capital is a text with a capital where it begins with a letter.
func Capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 || first == utf8.RuneError {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}
