package proof

import (
	"context"
	"errors"
	"math"

	"halocline/app/check/seam"
	"halocline/app/render"
	"halocline/app/study"
)

// An Offer is the softness at which the seam of a matte misfits least on one frame: the one
// number that is offered wherever softness is chosen.
type Offer struct {
	Best   float64 // px, to a tenth
	Misfit float64 // the least that was found
	Most   float64 // px: the largest softness that was tried
}

// offerTries is how many softnesses are tried.
const offerTries = 9

// seamWidth is the width in pixels from which a proxy is looked at: the figures
// are in the source's pixels all the same, and a wide frame's outline is long
// enough on a proxy.
const seamWidth = 1920

// SeamOf is the seam of settings on a frame of a width, by which softness is offered.
func SeamOf(ctx context.Context, r *render.Renderer, q render.Request, width int) (*seam.Frame, error) {
	q.Factor = max(1, width/seamWidth)
	return seam.On(ctx, r, q, 0)
}

// OfferBy offers a softness for settings by their seam on a frame of a width.
func OfferBy(ctx context.Context, s *seam.Frame, set *study.Settings, width int) (Offer, error) {
	soften, err := ParameterNamed(set, "soften")
	if err != nil {
		return Offer{}, err
	}
	out := Offer{Misfit: math.Inf(1), Most: math.Round(float64(width) / 80)}
	tried, err := s.Sweep(ctx, Sweep{Of: soften, To: max(out.Most, 1), Count: offerTries}.Values(), 0)
	if err != nil {
		return Offer{}, err
	}
	out.Best = math.Round(tried.Best*10) / 10
	for _, f := range tried.Figures {
		out.Misfit = min(out.Misfit, f.Misfit)
	}
	return out, nil
}

// OfferedSoftness is the softness, in px, that is offered for a matte's settings on a frame.
// nil: its trial does not grade there, or there is no seam.
func OfferedSoftness(ctx context.Context, r *render.Renderer, s *study.Study, set *study.Settings, frame int) (*float64, error) {
	if !set.Trial.At(frame).Grades() {
		return nil, nil
	}
	size, err := r.Size(ctx, s, frame)
	if err != nil {
		return nil, err
	}
	on, err := SeamOf(ctx, r, render.Request{Study: s, Settings: set, Frame: frame}, size.X)
	if errors.As(err, new(seam.NoneError)) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	offer, err := OfferBy(ctx, on, set, size.X)
	return &offer.Best, err
}
