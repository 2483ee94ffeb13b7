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
	By               string // what it rests on, dabs or a truth; "" for what is seen on the frame
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
		h := truthHeadline(f)
		if words := d.CrossingWords(); words != "" {
			h.Advice = words
		}
		return h
	}
	of := d.ownHeadline()
	switch s := d.Seam(); {
	case d.Stale(StepPick) && len(m.Dabs) > 0:
	case d.CrossingWords() != "":
		of = Headline{Sentence: strings.TrimSuffix(d.CrossingWords(), "."), Advice: "Press " + NextLookKey + " to look at it."}
	case d.Bite().Bites():
		sentence, advice := BiteVerdict(d.Bite())
		of = Headline{Sentence: sentence, Advice: advice}
	case s != nil && (SeamSteps[d.Step] || s.Coverage.Wrong()):
		of = Headline{Sentence: SeamVerdict(s).Says, Advice: SeamAdvice(s)}
	}
	return of
}

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

// SeamAdvice says why a grade sits in the picture as it does, or what to do about it.
func SeamAdvice(s *watch.Seam) string {
	c := &s.Coverage
	switch v := SeamVerdict(s); {
	case v.Why != "":
		return strings.ToUpper(v.Why[:1]) + v.Why[1:] + "."
	case c.Spills() && c.Spilled >= c.Short:
		return "Drop dabs, or another mask" + mostAt(c.SpilledAt)
	case c.ReachesBeyond():
		return "Soften or grow it less."
	case c.StopsShort():
		return "Keep dabs, or another mask" + mostAt(c.ShortAt)
	}
	return NoiseWords(s.Noise)
}

// mostAt ends a sentence with the place where most of what it is about is.
func mostAt(p *seam.Place) string {
	if p == nil {
		return "."
	}
	return fmt.Sprintf(". Most at %.0f, %.0f.", p.X, p.Y)
}
