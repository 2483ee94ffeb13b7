package watch

import (
	"context"
	"image"
	"time"

	"halocline/app/check"
	"halocline/app/check/shot"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/app/view/density"
	"halocline/colour"
	"halocline/selection"
)

// Findings are what is known of the chosen matte on one frame, worked out at
// full detail when the user's hand rests.
type Findings struct {
	About   *study.Study // what they are of
	MatteID int          // 0 for none
	Frame   int

	Source     *colour.Image // as decoded
	Picked     *colour.Image // what fit and pick read
	Matte      *colour.Plane // at full detail; this and what follows is nil without a matte
	Figures    check.Figures
	Truth      *comparison           // with the true matte; nil without one
	Worst      []check.Patch         // places of the edge that are worth a look, the worst first
	Crossings  []render.Crossing     // where outlines may cut the subject, the longest first
	Density    *density.Map          // how many pixels have which colour
	Dabs       []selection.Dab       // in the matte's order
	Separation *selection.Separation // nil where the dabs are too few
	lacking    string                // why separation is nil
	Bite       *check.Bite           // of the pick into its masks; nil where there are none, or no keep dabs
	Seam       *Seam                 // of a trial that grades; it says what it is of

	Thumbs map[int]Thumb // by matte
}

// A Thumb is a matte's small picture, and its area.
type Thumb struct {
	digest string
	Small  *image.RGBA
	Area   float64
	Exact  bool // the area is of all pixels of the frame, not of the small picture
}

// AreaWords is the area in words, as there is room for on a card: "area 7.8 %", or "about 8 %".
func (t Thumb) AreaWords() string {
	words := study.AreaWords(t.Area, t.Exact)
	if t.Exact {
		return "area " + words
	}
	return words
}

// An Inquiry asks for findings.
type Inquiry struct {
	Renderer *render.Renderer
	Study    *study.Study
	MatteID  int
	Frame    int
	Truth    *colour.Plane
	Before   Findings // those of before: what still stands is not worked out again
}

// An Assessor works out findings in the background.
type Assessor struct {
	Jobs  *Latest[Inquiry]
	found func(Findings) // called from the background, as each part is known
}

// assessDelay keeps findings out of the way of a hand that still moves.
const assessDelay = 180 * time.Millisecond

// NewAssessor starts an assessor. found is called on its goroutine. Jobs.Stop ends it.
func NewAssessor(found func(Findings)) *Assessor {
	a := &Assessor{found: found}
	a.Jobs = NewLatest(a.work)
	return a
}

func (a *Assessor) work(ctx context.Context, q Inquiry) {
	if !Rest(ctx, assessDelay) {
		return
	}
	f := Findings{About: q.Study, MatteID: q.MatteID, Frame: q.Frame, Thumbs: q.Before.Thumbs, Seam: q.Before.Seam}
	m := q.Study.Matte(q.MatteID)
	for _, part := range []func(context.Context, Inquiry, *study.Matte, *Findings) error{
		FindSource, FindField, FindMatte, FindThumbs, FindSeparation, FindBite, FindWorst, FindCrossings,
	} {
		if part(ctx, q, m, &f) != nil {
			return // overtaken, or the footage is gone: the viewer says so
		}
		if ctx.Err() != nil {
			return
		}
	}
	a.found(f)
	if seam, err := FindSeam(ctx, q, m, &f); err == nil && seam != nil {
		f.Seam = seam
		a.found(f)
	}
}

func (q Inquiry) request(m *study.Matte) render.Request {
	r := render.Request{Study: q.Study, Frame: q.Frame}
	if m != nil {
		r.Settings = &m.Settings
	}
	return r
}

// FindSource finds the frame as decoded and as the pick reads it.
func FindSource(ctx context.Context, q Inquiry, m *study.Matte, f *Findings) (err error) {
	if f.Source, err = q.Renderer.Source(ctx, q.Study, q.Frame); err != nil {
		return err
	}
	f.Picked, err = q.Renderer.Picked(ctx, q.request(m))
	return err
}

// FindField counts how many pixels have which colour, from no more of them than a picture
// on its way has: more would look the same. Nothing where m is nil.
func FindField(ctx context.Context, q Inquiry, m *study.Matte, f *Findings) error {
	if m == nil {
		return nil
	}
	r := q.request(m)
	w, h := f.Picked.Size()
	r.Factor, r.Draft = view.QuickFactor(image.Rect(0, 0, w, h), 1), true
	picked, err := q.Renderer.Picked(ctx, r)
	if err != nil {
		return err
	}
	matte, err := q.Renderer.Matte(ctx, r)
	if err != nil {
		return err
	}
	d := new(density.Map)
	if err := density.Measure(ctx, d, picked, m.Pick.Model, &matte, 0); err != nil {
		return err
	}
	f.Density = d
	return nil
}

// FindMatte renders the matte m at full detail, with its figures, and compares it with
// the true one where there is one of its size; nothing where m is nil.
func FindMatte(ctx context.Context, q Inquiry, m *study.Matte, f *Findings) error {
	if m == nil {
		return nil
	}
	matte, err := q.Renderer.Matte(ctx, q.request(m))
	if err != nil {
		return err
	}
	f.Matte = &matte
	if f.Figures, err = check.Measure(ctx, matte, 0); err != nil {
		return err
	}
	if q.Truth != nil && q.Truth.W == matte.W && q.Truth.H == matte.H {
		c, err := againstTruth(ctx, matte, *q.Truth)
		if err != nil {
			return err
		}
		f.Truth = &c
	}
	return nil
}

// FindSeparation reads the colours under the dabs of m, on their own frames, and measures
// how well the pick tells them apart; nothing where m is nil. They are the dabs of m alone,
// also where it takes in others: it is about its own pick.
func FindSeparation(ctx context.Context, q Inquiry, m *study.Matte, f *Findings) error {
	if m == nil {
		return nil
	}
	var err error
	if f.Dabs, err = q.Renderer.DabSamples(ctx, q.Study, m); err != nil {
		return err
	}
	separation, err := selection.MeasureSeparationEach(f.Dabs, m.PicksOfDabs())
	if err != nil {
		f.lacking = err.Error()
		return nil
	}
	f.Separation = &separation
	return nil
}

// FindBite finds what the pick leaves out of the inside of its masks; nothing where m is nil. The
// dabs must have been found.
func FindBite(ctx context.Context, q Inquiry, m *study.Matte, f *Findings) (err error) {
	if m == nil || len(m.Masks) == 0 {
		return nil
	}
	f.Bite, err = shot.BiteOf(ctx, q.Renderer, q.request(m), f.Dabs)
	return err
}

// worstEdges is how many places of an edge are shown as worth a look, PatchSide
// how wide each is in source pixels.
const (
	worstEdges = 5
	PatchSide  = 28
)

// FindWorst finds the places of the matte's edge that are worth a look; nothing where m is
// nil. The matte must have been found.
func FindWorst(ctx context.Context, q Inquiry, m *study.Matte, f *Findings) (err error) {
	if m == nil {
		return nil
	}
	f.Worst, err = check.WorstEdges(ctx, *f.Matte, f.Picked, worstEdges, PatchSide, 0)
	return err
}

// FindCrossings finds where the outlines of m's masks may cut the subject; nothing where m is
// nil.
func FindCrossings(ctx context.Context, q Inquiry, m *study.Matte, f *Findings) error {
	if m == nil || !m.SearchesEdges(q.Frame) {
		return nil
	}
	outlines, err := q.Renderer.Outlines(ctx, q.request(m))
	f.Crossings = render.CrossingsOf(outlines)
	return err
}

// thumbWide is the width of a matte's small picture in pixels: twice what it
// takes on a screen of scale 1.
const thumbWide = 128

// FindThumbs renders the small pictures of all mattes, but for those from before that
// still stand. The source must have been found, and the chosen matte, whose area is that of
// its figures; a small picture's own is off by a few tenths of a percent.
func FindThumbs(ctx context.Context, q Inquiry, _ *study.Matte, f *Findings) error {
	old := f.Thumbs
	f.Thumbs = map[int]Thumb{}
	for i := range q.Study.Mattes {
		m := &q.Study.Mattes[i]
		digest := q.Study.Digest(q.Frame, m)
		if t, ok := old[m.ID]; ok && t.digest == digest {
			f.Thumbs[m.ID] = t.measured(m.ID, f)
			continue
		}
		w, h := f.Source.Size()
		r := q.request(m)
		r.Factor = max(1, w/thumbWide)
		r.Draft = w*h > 1<<22 // all of a 4K frame for each matte would push what is looked at out of the cache
		if m.ID == q.MatteID {
			r.Draft = false
		}
		plane, err := q.Renderer.Matte(ctx, r)
		if err != nil {
			return err
		}
		f.Thumbs[m.ID] = Thumb{digest, greyPicture(plane), meanOf(plane), false}.measured(m.ID, f)
	}
	return nil
}

// measured is a matte's small picture with the area of the findings' figures, where they are
// of that matte.
func (t Thumb) measured(matteID int, f *Findings) Thumb {
	if matteID == f.MatteID && f.Matte != nil {
		t.Area, t.Exact = f.Figures.Area, true
	}
	return t
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
