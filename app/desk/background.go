package desk

import (
	"slices"
	"sync"

	"halocline/app/check/shot"
	"halocline/app/desk/watch"
	"halocline/app/follow/kept"
	"halocline/app/proof"
)

// News says what has become known of the chosen matte.
type News int

const (
	NewFindings  News = iota // on the frame shown
	NewVerdict               // over the clip
	NewReview                // against its last proof
	NewPreview               // of the pick with the pressed dab
	NewCause                 // of a pixel that was asked about
	NewEdgeShare             // which share of its edge its masks cut
	NewOutlines              // of its masks, led by the picture
	NewProgress              // of an outline that is being followed
	NewSpareKeys             // of a mask, that can go
)

// A background is what works for a desk while the user's hand rests.
type background struct {
	assessor *watch.Assessor
	checker  *watch.Checker
	reviewer *watch.Reviewer
	fitter   *watch.Latest[fitAsk]
	causes   *watch.Latest[causeAsk]
	edges    *watch.Latest[edgeAsk]
	outliner *watch.Latest[outlinesAsk]
	sparer   *watch.Latest[spareAsk]
	moving   sync.WaitGroup // outlines that go to a folder
}

func (d *Desk) startBackground() {
	d.background = background{
		assessor: watch.NewAssessor(func(f watch.Findings) { d.Post(func() { d.takeFindings(f) }) }),
		checker:  watch.NewChecker(func(v watch.Verdict) { d.Post(func() { d.takeVerdict(v) }) }),
		reviewer: watch.NewReviewer(func(r watch.Review) { d.Post(func() { d.takeReview(r) }) }),
		fitter:   watch.NewLatest(d.fit),
		causes:   watch.NewLatest(d.findCause),
		edges:    watch.NewLatest(d.findEdgeShare),
		outliner: watch.NewLatest(d.findOutlines),
		sparer:   watch.NewLatest(d.findSpareKeys),
	}
}

// Stop ends what works in the background, for good, once outlines that are on their way to a
// folder are there.
func (d *Desk) Stop() {
	d.assessor.Jobs.Stop()
	d.checker.Jobs.Stop()
	d.reviewer.Jobs.Stop()
	d.fitter.Stop()
	d.causes.Stop()
	d.edges.Stop()
	d.outliner.Stop()
	d.sparer.Stop()
	d.moving.Wait()
}

// Refresh has found out anew what the state asks for, and tells all that show it.
func (d *Desk) Refresh() {
	if o := d.Offer; o != nil && (o.About != d.Study() || o.MatteID != d.MatteID) {
		d.Offer = nil // it is about what was
	}
	d.notePicks()
	d.dropOffer()
	d.dropSpareKeys()
	d.assess()
	d.askOutlines()
	d.Check()
	d.Review()
	d.Changed()
}

// assess asks for findings about the matte as it is now.
func (d *Desk) assess() {
	s := d.Study()
	if s == nil {
		return
	}
	q := watch.Inquiry{Renderer: d.Work.Renderer, Study: s, MatteID: d.MatteID, Frame: d.Frame, Before: d.Found}
	if d.TrueOf == d.MatteID && d.TrueAt == d.Frame {
		q.Truth = d.Truth
	}
	if q.Study == d.asked.Study && q.MatteID == d.asked.MatteID && q.Frame == d.asked.Frame && q.Truth == d.asked.Truth {
		return
	}
	d.asked = q
	d.assessor.Jobs.Ask(q)
}

func (d *Desk) takeFindings(f watch.Findings) {
	if d.Study() == nil || f.About != d.asked.Study {
		return
	}
	d.Found = f
	d.askEdgeShare()
	if d.pressed != nil {
		d.fitPressed()
	}
	d.Learned(NewFindings)
}

// Check asks for the chosen matte to be judged over the clip, once the hand rests.
func (d *Desk) Check() { d.checker.Jobs.Ask(d.CheckJob()) }

// CheckJob is what there is to be judged now: nothing while the hand is at work, and
// while something else needs the machine.
func (d *Desk) CheckJob() watch.CheckJob {
	m := d.Matte()
	if m == nil || !d.Several() || d.Dragging() || d.Scrubbing || d.Plays() || d.Busy {
		return watch.CheckJob{}
	}
	over := shot.Shot{Source: d.Work.Clip, Study: d.Study(), Settings: &m.Settings, Dabs: d.Study().DabsOf(m), Frames: d.Frames(), Workers: 1, Beside: d.Work.Renderer}
	if d.Work.Clip.Info().Width >= watch.WideFrame {
		over.Factor = 2
	}
	if store := d.figureStore(); store != nil {
		over.Figures = store
	}
	return watch.CheckJob{Shot: over, MatteID: m.ID, Line: d.line(m.ID)}
}

// figureStore is the folder beside the study in which figures are kept; nil until it is saved.
func (d *Desk) figureStore() *kept.Folder {
	path := d.Session.Path()
	if path == "" {
		return nil
	}
	if path += ".cache"; d.figures == nil || d.figures.Path() != path {
		d.figures = kept.NewFigures(path, kept.FiguresMost, nil)
	}
	return d.figures
}

// line is what keeps the figures of a matte over the clip.
func (d *Desk) line(matteID int) *shot.Timeline {
	t := d.lines[matteID]
	if t == nil {
		t = new(shot.Timeline)
		d.lines[matteID] = t
	}
	return t
}

func (d *Desk) takeVerdict(v watch.Verdict) {
	if v.MatteID != d.MatteID || v.Line != d.lines[v.MatteID] || !d.Several() {
		return
	}
	d.verdict = v
	d.noteJudged(v)
	d.Learned(NewVerdict)
}

// Verdict is what is known of the chosen matte over the clip, without the flags that were put
// away.
func (d *Desk) Verdict() watch.Verdict {
	if d.verdict.MatteID != d.MatteID {
		return watch.Verdict{MatteID: d.MatteID}
	}
	return withoutDismissed(d.verdict, d.Matte())
}

// NextWorst goes to the worst frame, or from one of the worst to the next, and round.
func (d *Desk) NextWorst() {
	found := d.Verdict().Findings
	if len(found) == 0 {
		return
	}
	at := slices.IndexFunc(found, func(f shot.Finding) bool { return f.Frame == d.Frame })
	d.GoToFrame(found[(at+1)%len(found)].Frame)
}

// KnowsWorst reports whether frames of the clip are known that are worse than others.
func (d *Desk) KnowsWorst() bool { return d.Several() && len(d.Verdict().Findings) > 0 }

// Review asks how the chosen matte stands against its last proof, where that is
// wanted.
func (d *Desk) Review() {
	m := d.Matte()
	if m != nil && len(m.Proofs) == 0 { // the last one may have been forgotten
		d.Reviewed = watch.Review{}
		delete(d.Gains, m.ID)
	}
	if m == nil || len(m.Proofs) == 0 || d.Dragging() || d.Plays() || d.Busy || !d.WantReview {
		d.reviewer.Jobs.Ask(watch.ReviewJob{})
		return
	}
	if r := d.Reviewed; r.Study == d.Study() && r.MatteID == m.ID && r.Frame == d.Frame {
		return
	}
	j := watch.ReviewJob{Study: d.Study(), Renderer: d.Work.Renderer, MatteID: m.ID, Frame: d.Frame}
	if d.Work.Clip.Info().Width >= watch.WideFrame {
		j.Factor = 2
	}
	d.reviewer.Jobs.Ask(j)
}

func (d *Desk) takeReview(r watch.Review) {
	if r.Study != d.Study() || r.MatteID != d.MatteID {
		return
	}
	d.Reviewed = r
	g := d.Gains[r.MatteID]
	if g == nil {
		g = new(Gain)
		d.Gains[r.MatteID] = g
	}
	g.Take(r)
	d.Learned(NewReview)
}

// noteEdit counts an edit that changed the chosen matte's settings.
func (d *Desk) noteEdit() {
	g := d.Gains[d.MatteID]
	if g == nil || d.last == nil {
		return
	}
	was, is := d.last.Matte(d.MatteID), d.Matte()
	if was != nil && is != nil && !proof.Same(&was.Settings, &is.Settings) {
		g.Edits++
	}
}

// EditsWithoutGain is how many edits were made on the chosen matte since one made it
// better than its best so far.
func (d *Desk) EditsWithoutGain() int {
	if g := d.Gains[d.MatteID]; g != nil {
		return g.Edits
	}
	return 0
}
