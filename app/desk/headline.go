package desk

import (
	"fmt"
	"strings"

	"halocline/app/check/seam"
	"halocline/app/desk/watch"
	"halocline/selection"
)

// A Headline is the one thing that is most worth knowing of the chosen matte now, what to do about
// it, and what it rests on. Figures stand below it.
type Headline struct {
	Sentence, Advice string
	By               string // what it rests on: dabs, a truth; "" where it goes without
}

// Headline says what is most worth knowing of the chosen matte: first what makes the figures of
// before useless, then what is wrong by whole regions, then, in the steps that a trial is for, how its grade
// sits in the picture, then how far the matte is.
func (d *Desk) Headline() Headline {
	m, f := d.Matte(), &d.Found
	if m == nil {
		return Headline{Sentence: "Nothing to judge yet", Advice: "Make a matte first."}
	}
	if f.MatteID == m.ID && f.Truth != nil && d.TrueOf == m.ID {
		return truthHeadline(f)
	}
	of := d.ownHeadline()
	switch s := d.Seam(); {
	case d.Stale(StepPick) && len(m.Dabs) > 0:
	case d.CrossingWords() != "":
		of.Sentence, of.Advice = headed(d.CrossingWords()), "Press "+NextLookKey+" to look at it."
	case d.Bite().Bites():
		of.Sentence, of.Advice = BiteVerdict(d.Bite())
	case s != nil && (SeamSteps[d.Step] || s.Coverage.Wrong()):
		of.Sentence, of.Advice = headed(SeamVerdict(s)), SeamAdvice(s)
	}
	return of
}

// headed is a sentence as a headline, which has no full stop.
func headed(sentence string) string { return strings.TrimSuffix(sentence, ".") }

// truthHeadline compares with the true matte: missed and extra are shares of its area.
func truthHeadline(f *watch.Findings) Headline {
	t := f.Truth
	return Headline{
		Sentence: fmt.Sprintf("Overlap %.0f %%, missed %.0f %%, extra %.0f %%", 100*t.Overlap, 100*t.Missed, 100*t.Extra),
		Advice:   TruthAdvice(t.Missed, t.Extra),
		By:       "missed, extra: of the true area",
	}
}

// ownHeadline says how far the matte itself is: by its masks, or how well colour tells its dabs
// apart.
func (d *Desk) ownHeadline() Headline {
	m := d.Matte()
	if d.MasksAlone() {
		sentence, advice := d.MasksVerdict()
		return Headline{sentence, advice, MaskDabWords(m)}
	}
	p := d.KnownSeparation()
	if p == nil {
		keep, drop := CountDabs(m)
		return Headline{"Separation is not known yet", "It needs two dabs of each kind.", fmt.Sprintf("%d keep, %d drop dabs", keep, drop)}
	}
	sentence, advice := VerdictOf(p, len(m.Masks) > 0, d.Stale(StepPick))
	return Headline{sentence, advice, "tested on dabs it was not fitted to"}
}

// KnownSeparation is how far colour tells the chosen matte's dabs apart; nil while it is not known,
// and where there are too few.
func (d *Desk) KnownSeparation() *selection.Separation {
	p := d.Found.Separation
	if d.Found.MatteID != d.MatteID || p == nil || !p.Enough() {
		return nil
	}
	return p
}

// SeamAdvice says what to do about how a grade sits in the picture.
func SeamAdvice(s *watch.Seam) string {
	at := func(p *seam.Place, words string) string {
		if p == nil {
			return words + "."
		}
		return fmt.Sprintf("%s, most at %.0f, %.0f.", words, p.X, p.Y)
	}
	switch c := &s.Coverage; {
	case s.Why != "":
		return "Nothing is graded along an edge."
	case c.Spills() && c.Spilled >= c.Short:
		return at(c.SpilledAt, "Drop dabs, or a mask that leaves it out")
	case c.ReachesBeyond():
		return "Soften or grow it less."
	case c.StopsShort():
		return at(c.ShortAt, "Keep dabs, or a mask that takes it in")
	case s.Figures.Misfit >= seam.Noticeable:
		return "Trial offers the softness that fits best."
	case c.Unknown != "":
		return "Dabs of both kinds tell."
	}
	return NoiseWords(s.Noise)
}
