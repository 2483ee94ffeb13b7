package ui

import (
	"context"
	"errors"
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
