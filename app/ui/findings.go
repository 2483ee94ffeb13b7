package ui

import (
	"context"
	"image"
	"time"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/app/view/density"
	"halocline/colour"
	"halocline/selection"
)

// Findings are what is known of the chosen matte on one frame, worked out at
// full detail when the user's hand rests.
type findings struct {
	about   *study.Study // what they are of
	matteID int
	frame   int

	source     *colour.Image // as decoded
	picked     *colour.Image // what fit and pick read
	matte      *colour.Plane
	figures    check.Figures
	truth      *comparison // with the true matte; nil without one
	worst      []check.Patch
	density    *density.Map
	dabs       []selection.Dab // in the matte's order
	separation *selection.Separation
	lacking    string     // why separation is nil
	seam       *seamFound // of a trial that grades; it says what it is of

	thumbs map[int]thumb // by matte
}

// A thumb is a matte's small picture, and its area.
type thumb struct {
	digest string
	small  *image.RGBA
	area   float64
}

// An inquiry asks for findings.
type inquiry struct {
	renderer *render.Renderer
	study    *study.Study
	matteID  int
	frame    int
	truth    *colour.Plane
	before   findings // those of before: what still stands is not worked out again
}

// An assessor works out findings in the background.
type assessor struct {
	jobs  *latest[inquiry]
	found func(findings) // called from the background, as each part is known
}

// assessDelay keeps findings out of the way of a hand that still moves.
const assessDelay = 180 * time.Millisecond

func newAssessor(found func(findings)) *assessor {
	a := &assessor{found: found}
	a.jobs = newLatest(a.work)
	return a
}

func (a *assessor) work(ctx context.Context, q inquiry) {
	if !rest(ctx, assessDelay) {
		return
	}
	f := findings{about: q.study, matteID: q.matteID, frame: q.frame, thumbs: q.before.thumbs, seam: q.before.seam}
	m := q.study.Matte(q.matteID)
	for _, part := range []func(context.Context, inquiry, *study.Matte, *findings) error{
		findSource, findField, findMatte, findThumbs, findSeparation, findWorst,
	} {
		if part(ctx, q, m, &f) != nil {
			return // overtaken, or the footage is gone: the viewer says so
		}
		if ctx.Err() != nil {
			return
		}
	}
	a.found(f)
	if seam, err := findSeam(ctx, q, m, &f); err == nil && seam != nil {
		f.seam = seam
		a.found(f)
	}
}

func (q inquiry) request(m *study.Matte) render.Request {
	r := render.Request{Study: q.study, Frame: q.frame}
	if m != nil {
		r.Settings = &m.Settings
	}
	return r
}

func findSource(ctx context.Context, q inquiry, m *study.Matte, f *findings) (err error) {
	if f.source, err = q.renderer.Source(ctx, q.study, q.frame); err != nil {
		return err
	}
	f.picked, err = q.renderer.Picked(ctx, q.request(m))
	return err
}

// findField counts the field from no more pixels than a picture on its way has:
// more would look the same.
func findField(ctx context.Context, q inquiry, m *study.Matte, f *findings) error {
	if m == nil {
		return nil
	}
	r := q.request(m)
	w, h := f.picked.Size()
	r.Factor, r.Draft = view.QuickFactor(image.Rect(0, 0, w, h), 1), true
	picked, err := q.renderer.Picked(ctx, r)
	if err != nil {
		return err
	}
	matte, err := q.renderer.Matte(ctx, r)
	if err != nil {
		return err
	}
	d := new(density.Map)
	if err := density.Measure(ctx, d, picked, m.Pick.Model, &matte, 0); err != nil {
		return err
	}
	f.density = d
	return nil
}

func findMatte(ctx context.Context, q inquiry, m *study.Matte, f *findings) error {
	if m == nil {
		return nil
	}
	matte, err := q.renderer.Matte(ctx, q.request(m))
	if err != nil {
		return err
	}
	f.matte = &matte
	if f.figures, err = check.Measure(ctx, matte, 0); err != nil {
		return err
	}
	if q.truth != nil && q.truth.W == matte.W && q.truth.H == matte.H {
		c := againstTruth(matte, *q.truth)
		f.truth = &c
	}
	return nil
}

func findSeparation(ctx context.Context, q inquiry, m *study.Matte, f *findings) error {
	if m == nil {
		return nil
	}
	var err error
	if f.dabs, err = q.renderer.DabSamples(ctx, q.study, m); err != nil {
		return err
	}
	separation, err := selection.MeasureSeparationEach(f.dabs, m.PicksOfDabs())
	if err != nil {
		f.lacking = err.Error()
		return nil
	}
	f.separation = &separation
	return nil
}

// worstEdges is how many places of an edge are shown as worth a look, patchSide
// how wide each is in source pixels.
const (
	worstEdges = 5
	patchSide  = 28
)

func findWorst(ctx context.Context, q inquiry, m *study.Matte, f *findings) (err error) {
	if m == nil {
		return nil
	}
	f.worst, err = check.WorstEdges(ctx, *f.matte, f.picked, worstEdges, patchSide, 0)
	return err
}

// thumbWide is the width of a matte's small picture in pixels: twice what it
// takes on a screen of scale 1.
const thumbWide = 128

func findThumbs(ctx context.Context, q inquiry, _ *study.Matte, f *findings) error {
	old := f.thumbs
	f.thumbs = map[int]thumb{}
	for i := range q.study.Mattes {
		m := &q.study.Mattes[i]
		digest := q.study.Digest(q.frame, m)
		if t, ok := old[m.ID]; ok && t.digest == digest {
			f.thumbs[m.ID] = t
			continue
		}
		w, h := f.source.Size()
		r := q.request(m)
		r.Factor = max(1, w/thumbWide)
		r.Draft = w*h > 1<<22 // all of a 4K frame for each matte would push what is looked at out of the cache
		if m.ID == q.matteID {
			r.Draft = false
		}
		plane, err := q.renderer.Matte(ctx, r)
		if err != nil {
			return err
		}
		f.thumbs[m.ID] = thumb{digest, greyPicture(plane), meanOf(plane)}
	}
	return nil
}

func meanOf(p colour.Plane) float64 {
	sum := 0.0
	for _, v := range p.Pix {
		sum += float64(v)
	}
	return sum / float64(max(len(p.Pix), 1))
}

// greyPicture is a plane as a picture for the screen.
func greyPicture(p colour.Plane) *image.RGBA {
	out := image.NewRGBA(image.Rect(0, 0, p.W, p.H))
	for i, v := range p.Gray(nil).Pix {
		out.Pix[4*i], out.Pix[4*i+1], out.Pix[4*i+2], out.Pix[4*i+3] = v, v, v, 255
	}
	return out
}

// pixelAt is a colour as the pick reads it; false while that is not known.
func (w *window) pixelAt(x, y int) (colour.RGB, bool) {
	if w.found.picked == nil || w.found.about == nil || w.found.frame != w.desk.Frame {
		return colour.RGB{}, false
	}
	width, height := w.found.picked.Size()
	if x < 0 || y < 0 || x >= width || y >= height {
		return colour.RGB{}, false
	}
	return w.found.picked.RGB(x, y), true
}
