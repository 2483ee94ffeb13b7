package staging

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/colour"
	"halocline/selection"
)

// throughMasks returns the picture with its areas read back from mask pictures in which
// 5 % of the white pixels have changed sides.
func (s *labelled) throughMasks(rng *rand.Rand) *labelled {
	out := *s
	keep, drop := colour.NewPlane(s.label.W, s.label.H), colour.NewPlane(s.label.W, s.label.H)
	for _, kind := range []struct {
		areas      []render.Area
		own, other colour.Plane
	}{{s.keep, keep, drop}, {s.drop, drop, keep}} {
		for _, a := range kind.areas {
			for _, i := range a.Pixels {
				if rng.Float64() < 0.05 {
					kind.other.Pix[i] = 1
				} else {
					kind.own.Pix[i] = 1
				}
			}
		}
	}
	out.keep, _ = render.Areas(keep)
	out.drop, _ = render.Areas(drop)
	return &out
}

// Mask pictures with 5 % wrong pixels make nearly the pick of clean ones. Eight draws of
// discs on each of the four pictures of SUIM (see real_test.go).
func TestWrongPixelsInMasksOnRealPictures(t *testing.T) {
	folder := openData(t)
	clean, wrong := make(draws, 8), make(draws, 8)
	for k, name := range realPictures {
		s := readReal(t, folder, name)
		rng := rand.New(rand.NewPCG(8, uint64(k)))
		for i := range clean {
			d := s.redraw(rng)
			clean[i].add(d.scorePick(t, mustFit(t, d.dabs(), selection.LCh)))
			wrong[i].add(d.scorePick(t, mustFit(t, d.throughMasks(rng).dabs(), selection.LCh)))
		}
	}
	accuracy, iou := wrong.against(clean)
	t.Logf("balanced accuracy / soft IoU of LCh: %v, with 5 %% wrong pixels %v; differences %v, %v", clean.mean(), wrong.mean(), accuracy, iou)
	require.GreaterOrEqual(t, accuracy.mean, -0.02)
	require.GreaterOrEqual(t, iou.mean, -0.02)
}
