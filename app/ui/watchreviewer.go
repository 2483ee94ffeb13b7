package ui

import (
	"context"
	"time"

	"halocline/app/proof"
	"halocline/app/render"
	"halocline/app/study"
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
