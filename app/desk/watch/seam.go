package watch

import (
	"context"
	"errors"
	"slices"

	"halocline/app/check"
	"halocline/app/check/seam"
	"halocline/app/proof"
	"halocline/app/study"
)

// A Seam is how the chosen matte sits on the picture's edge under its trial,
// on the frame shown.
type Seam struct {
	About   *study.Study
	MatteID int
	Frame   int

	Why     string // there is no seam; "" where there is one
	Figures seam.Figures
	// Coverage is how much of the grade lies on whole regions that it should not reach, and what
	// it leaves out.
	Coverage seam.Coverage
	proof.Offer
	Along  []seam.Piece
	Widest float64            // misfit that 95 % of the outline stays below
	Noise  *check.NoiseChange // what the grade does to noise; nil where that is not known
}

// FindSeam judges how the matte m sits on the picture's edge under its trial; nil where m
// is nil or its trial does not grade on the frame. It takes longest of all findings, so
// it comes after them: source, matte and dabs must have been found.
func FindSeam(ctx context.Context, q Inquiry, m *study.Matte, f *Findings) (*Seam, error) {
	if m == nil || !m.Trial.At(q.Frame).Grades() {
		return nil, nil
	}
	noise, err := findNoise(ctx, q, m, f)
	if err != nil {
		return nil, err
	}
	out := &Seam{About: q.Study, MatteID: q.MatteID, Frame: q.Frame, Noise: noise}
	width, _ := f.Source.Size()
	s, err := proof.SeamOf(ctx, q.Renderer, q.request(m), width)
	if none := (seam.NoneError{}); errors.As(err, &none) {
		out.Why = none.Reason
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	if out.Figures, err = s.Judge(ctx, 0); err != nil {
		return nil, err
	}
	if out.Coverage, err = s.Coverage(ctx, f.Dabs, 0); err != nil {
		return nil, err
	}
	if out.Along, err = s.Along(ctx); err != nil {
		return nil, err
	}
	out.Widest = widestOf(out.Along)
	out.Offer, err = proof.OfferBy(ctx, s, &m.Settings, width)
	return out, err
}

func findNoise(ctx context.Context, q Inquiry, m *study.Matte, f *Findings) (*check.NoiseChange, error) {
	shown, err := q.Renderer.Shown(ctx, q.request(m))
	if err != nil {
		return nil, err
	}
	return check.PredictNoise(shown, *f.Matte, q.Study.Base.At(q.Frame), q.Study.Clip.Noise, m.Trial.At(q.Frame).CDL())
}

// widestOf is the misfit that 95 % of an outline stays below, its pieces being
// much of one length: what hardly counts does not say how wide the band may be.
func widestOf(pieces []seam.Piece) float64 {
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
