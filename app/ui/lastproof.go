package ui

import (
	"context"
	"fmt"
	"time"

	"fyne.io/fyne/v2"

	"halocline/app/proof"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// A reviewJob asks how a matte stands against the proof that was kept of it last.
type reviewJob struct {
	study    *study.Study
	renderer *render.Renderer
	matteID  int
	frame    int
	factor   int
}

// A review is the answer.
type review struct {
	study   *study.Study
	matteID int
	frame   int
	proof   *study.Proof // the last one; nil: none is kept
	same    bool         // the settings are that proof's
	now     proof.Figures
	last    proof.Figures
}

// A reviewer works reviews out in the background, once the hand has rested for so long
// that all else is known.
type reviewer struct {
	jobs  *latest[reviewJob]
	cache proof.Cache // of the worker
	found func(review)
}

const reviewDelay = 1200 * time.Millisecond

func newReviewer(found func(review)) *reviewer {
	r := &reviewer{found: found}
	r.jobs = newLatest(r.work)
	return r
}

func (r *reviewer) work(ctx context.Context, j reviewJob) {
	if j.study == nil || !rest(ctx, reviewDelay) {
		return
	}
	m := j.study.Matte(j.matteID)
	last := &m.Proofs[len(m.Proofs)-1]
	s := &proof.Sheet{
		Study: j.study, Matte: new(study.Matte), // without dabs, which would take other frames
		Items:  []proof.Item{{Settings: &m.Settings}, {Settings: &last.Settings}},
		Frames: []int{j.frame}, Factor: j.factor,
	}
	out := review{study: j.study, matteID: j.matteID, frame: j.frame, proof: last, same: proof.Same(&m.Settings, &last.Settings)}
	if s.Judge(ctx, j.renderer, &r.cache, func(i int, f proof.Figures) {
		if i == 0 {
			out.now = f
		} else {
			out.last = f
		}
	}) == nil {
		r.found(out)
	}
}

// idleEdits is after how many edits that gained nothing it is said.
const idleEdits = 10

// A gain follows whether work on a matte still gains something since its last proof.
// Each figure that a comparison counts (proof.Compare) has a best value, first that of
// the proof; edits counts the edits made on the matte's settings since one of them
// became better than its best.
type gain struct {
	proofID int
	frame   int
	best    proof.Figures
	edits   int
}

// take compares a review with the best so far.
func (g *gain) take(r review) {
	if g.proofID != r.proof.ID || g.frame != r.frame {
		edits := g.edits
		if g.proofID != r.proof.ID {
			edits = 0
		}
		*g = gain{r.proof.ID, r.frame, r.last, edits}
	}
	if len(proof.Compare(g.best, r.now).Better) > 0 {
		g.best, g.edits = proof.BestOf(g.best, r.now), 0
	}
}

// review asks how the chosen matte stands against its last proof, where that is shown.
func (w *window) review() {
	d := w.desk
	m := d.Matte()
	if m == nil || len(m.Proofs) == 0 || d.Dragging() || w.plays() || w.proofs != nil || w.win.Canvas().Size().Height < tallFrom {
		w.reviewer.jobs.ask(reviewJob{})
		return
	}
	if r := w.reviewed; r.study == d.Study() && r.matteID == m.ID && r.frame == d.Frame {
		return
	}
	j := reviewJob{study: d.Study(), renderer: d.Work.Renderer, matteID: m.ID, frame: d.Frame}
	if d.Work.Clip.Info().Width >= checkWide {
		j.factor = 2
	}
	w.reviewer.jobs.ask(j)
}

// takeReview shows a review.
func (w *window) takeReview(r review) {
	if r.study != w.desk.Study() || r.matteID != w.desk.MatteID {
		return
	}
	w.reviewed = r
	g := w.gains[r.matteID]
	if g == nil {
		g = new(gain)
		w.gains[r.matteID] = g
	}
	g.take(r)
	w.judge.display()
	w.journal.tell("reviewed")
}

// noteEdit counts an edit that changed the chosen matte's settings.
func (w *window) noteEdit() {
	d := w.desk
	g := w.gains[d.MatteID]
	if g == nil || d.last == nil {
		return
	}
	was, is := d.last.Matte(d.MatteID), d.Matte()
	if was != nil && is != nil && !proof.Same(&was.Settings, &is.Settings) {
		g.edits++
	}
}

// A lastProofCard is Judge's card against the last proof.
type lastProofCard struct {
	w     *window
	title *look.Label
	lines [2]*look.Paragraph
	all   *fyne.Container
}

func newLastProofCard(w *window) *lastProofCard {
	c := &lastProofCard{w: w}
	c.title = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text, Bold: true})
	for i := range c.lines {
		c.lines[i] = look.NewParagraph(1, "", look.Style{Size: look.SmallSize, Colour: look.Second})
	}
	c.all = look.Ground(look.Card, look.Pad(10, 4, 10, 6, look.VBox(0, c.title, c.lines[0], c.lines[1])))
	c.all.Hide()
	return c
}

func (c *lastProofCard) display() {
	w := c.w
	m := w.desk.Matte()
	has := m != nil && len(m.Proofs) > 0
	show(c.all, has)
	if !has {
		return
	}
	last := m.Proofs[len(m.Proofs)-1]
	c.title.SetText(fmt.Sprintf("Against ‘%s’, the last proof", last.Name))
	r := w.reviewed
	if r.matteID != m.ID || r.proof == nil || r.proof.ID != last.ID {
		c.say("…", "")
		return
	}
	if r.same {
		c.say("Nothing has changed since it was kept.", "")
		return
	}
	change := proof.Compare(r.last, r.now)
	worse := change.WorseText()
	if g := w.gains[m.ID]; g != nil && g.edits >= idleEdits {
		c.title.SetText(fmt.Sprintf("%d changes gained nothing since ‘%s’", g.edits, last.Name))
	}
	c.say(change.BetterText(), worse)
}

func (c *lastProofCard) say(better, worse string) {
	c.lines[0].SetText(better)
	c.lines[1].SetText(worse)
}
