package ui

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"halocline/app/check"
	"halocline/app/proof"
	"halocline/app/study"
)

// A seamFound is how the chosen matte sits on the picture's edge under its trial,
// on the frame shown.
type seamFound struct {
	about   *study.Study
	matteID int
	frame   int

	why     string // there is no seam; "" where there is one
	figures check.SeamFigures
	best    float64 // px: the softness of least misfit
	least   float64 // misfit at that
	most    float64 // px: the largest softness that was tried
	along   []check.SeamPiece
	widest  float64            // misfit that 95 % of the outline stays below
	noise   *check.NoiseChange // what the grade does to noise; nil where that is not known
}

// softnesses is how many are tried.
const softnesses = 9

// seamWidth is the width in pixels from which a proxy is looked at: the figures
// are in the source's pixels all the same, and a wide frame's outline is long
// enough on a proxy.
const seamWidth = 1920

// findSeam judges a trial that grades. It takes longest of all findings, so it
// comes after them.
func findSeam(ctx context.Context, q inquiry, m *study.Matte, f *findings) (*seamFound, error) {
	if m == nil || !m.Trial.At(q.frame).Grades() {
		return nil, nil
	}
	noise, err := findNoise(ctx, q, m, f)
	if err != nil {
		return nil, err
	}
	out := &seamFound{about: q.study, matteID: q.matteID, frame: q.frame, noise: noise}
	width, _ := f.source.Size()
	r := q.request(m)
	r.Factor = max(1, width/seamWidth)
	seam, err := check.SeamOn(ctx, q.renderer, r, 0)
	if none := (check.NoSeamError{}); errors.As(err, &none) {
		out.why = none.Reason
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	if out.figures, err = seam.Judge(ctx, 0); err != nil {
		return nil, err
	}
	if out.along, err = seam.Along(ctx); err != nil {
		return nil, err
	}
	out.widest = widestOf(out.along)
	out.most = math.Round(float64(width) / 80)
	soften, err := proof.ParameterNamed(&m.Settings, "soften")
	if err != nil {
		return nil, err
	}
	softness := proof.Sweep{Of: soften, To: max(out.most, 1), Count: softnesses}.Values()
	sweep, err := seam.Sweep(ctx, softness, 0)
	if err != nil {
		return nil, err
	}
	out.best = math.Round(sweep.Best*10) / 10
	out.least = math.Inf(1)
	for _, g := range sweep.Figures {
		out.least = min(out.least, g.Misfit)
	}
	return out, nil
}

func findNoise(ctx context.Context, q inquiry, m *study.Matte, f *findings) (*check.NoiseChange, error) {
	shown, err := q.renderer.Shown(ctx, q.request(m))
	if err != nil {
		return nil, err
	}
	return check.PredictNoise(shown, *f.matte, q.study.Base.At(q.frame), q.study.Clip.Noise, m.Trial.At(q.frame).CDL())
}

// seam is what is known of the seam of the matte as it is now; nil for nothing.
func (w *window) seam() *seamFound {
	if s := w.found.seam; w.fresh() && s != nil && s.about == w.found.about && s.matteID == w.found.matteID && s.frame == w.found.frame {
		return s
	}
	return nil
}

// widestOf is the misfit that 95 % of an outline stays below, its pieces being
// much of one length: what hardly counts does not say how wide the band may be.
func widestOf(pieces []check.SeamPiece) float64 {
	if len(pieces) == 0 {
		return 0
	}
	all := make([]float64, len(pieces))
	for i, p := range pieces {
		all[i] = p.Misfit
	}
	slices.Sort(all)
	return all[len(all)*95/100]
}

// little is a difference, in CIEDE2000, that is hard to see: about what is just
// noticed side by side (common practice, no source).
const little = 1

// seamVerdict says in a sentence how the grade's edge shows.
func seamVerdict(s *seamFound) string {
	f := s.figures
	switch {
	case s.why != "":
		return "No edge to measure: " + s.why + "."
	case f.Misfit < little:
		return "The edge carries this grade."
	case f.Rim > 1.5*f.Bleed:
		return "The edge shows: the matte is harder than the picture."
	case f.Bleed > 1.5*f.Rim:
		return "What lies beside is graded too: the matte is softer, or off."
	}
	return "The matte lies off the picture's edge, or wanders about it."
}

// noiseWords says what a grade does to the noise inside the matte.
func noiseWords(n *check.NoiseChange) string {
	switch {
	case n == nil:
		return "What it does to the noise is not known."
	case n.Decibels >= 0.5:
		return fmt.Sprintf("It lifts the noise inside the matte by %.1f dB.", n.Decibels)
	case n.Decibels <= -0.5:
		return fmt.Sprintf("It lowers the noise inside the matte by %.1f dB.", -n.Decibels)
	}
	return "It leaves the noise inside the matte about as it is."
}

// softenBest softens the matte's edge as its seam misfits least.
func (w *window) softenBest() {
	s := w.seam()
	if s == nil || s.why != "" {
		return
	}
	frame := w.desk.Frame
	w.desk.EditMatte("Soften: least misfit", func(m *study.Matte) error {
		m.Edge.Soften.Set(frame, s.best)
		return nil
	})
}

// canSoftenBest reports whether a softness of less misfit than the matte's own is
// known.
func (w *window) canSoftenBest() bool {
	s, m := w.seam(), w.desk.Matte()
	return s != nil && m != nil && s.why == "" && math.Abs(s.best-m.Edge.Soften.At(w.desk.Frame)) >= 0.1
}
