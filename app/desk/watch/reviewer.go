package watch

import (
	"context"
	"time"

	"halocline/app/proof"
	"halocline/app/render"
	"halocline/app/study"
)

// A ReviewJob asks how a matte stands against the proof that was kept of it last.
type ReviewJob struct {
	Study    *study.Study
	Renderer *render.Renderer
	MatteID  int
	Frame    int
	Factor   int
}

// A Review is the answer.
type Review struct {
	Study   *study.Study
	MatteID int
	Frame   int
	Proof   *study.Proof // the last one; nil: none is kept
	Same    bool         // the settings are that proof's
	Now     proof.Figures
	Last    proof.Figures
}

// A Reviewer works reviews out in the background, once the hand has rested for so long
// that all else is known.
type Reviewer struct {
	Jobs  *Latest[ReviewJob]
	cache proof.Cache // of the worker
	found func(Review)
}

const reviewDelay = 1200 * time.Millisecond

// NewReviewer starts a reviewer. found is called on its goroutine. Jobs.Stop ends it.
func NewReviewer(found func(Review)) *Reviewer {
	r := &Reviewer{found: found}
	r.Jobs = NewLatest(r.work)
	return r
}

func (r *Reviewer) work(ctx context.Context, j ReviewJob) {
	if j.Study == nil || !Rest(ctx, reviewDelay) {
		return
	}
	m := j.Study.Matte(j.MatteID)
	last := &m.Proofs[len(m.Proofs)-1]
	s := &proof.Sheet{
		Study: j.Study, Matte: new(study.Matte), // without dabs, which would take other frames
		Items:  []proof.Item{{Settings: &m.Settings}, {Settings: &last.Settings}},
		Frames: []int{j.Frame}, Factor: j.Factor,
	}
	out := Review{Study: j.Study, MatteID: j.MatteID, Frame: j.Frame, Proof: last, Same: proof.Same(&m.Settings, &last.Settings)}
	if s.Judge(ctx, j.Renderer, &r.cache, func(i int, f proof.Figures) {
		if i == 0 {
			out.Now = f
		} else {
			out.Last = f
		}
	}) == nil {
		r.found(out)
	}
}
