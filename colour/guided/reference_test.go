package guided

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// K. He, J. Sun, X. Tang 2013, windows clipped at the border: eqs. 5, 6 and 8
// with a grey guide in all three channels, for which eps counts three times;
// eqs. 19 to 21 with a colour guide. The twin is compared with both, with their eps,
// and so is the filter; the filter with the twin besides, with eps = 0.02^2.
func TestFilterAgainstTheReference(t *testing.T) {
	for name, channels := range map[string][]string{
		"guided_grey.csv": {"I", "I", "I"}, "guided_colour.csv": {"G1", "G2", "G3"},
	} {
		type set struct {
			src, want colour.Plane
			guide     *colour.Image
		}
		sets := map[[2]float64]set{}
		for _, row := range testdata.Table(t, name) {
			v := row.Numbers("r", "eps", "row", "col", "p", "q_clip")
			key := [2]float64{v[0], v[1]}
			s, ok := sets[key]
			if !ok {
				s = set{colour.NewPlane(12, 12), colour.NewPlane(12, 12), colour.NewImage(12, 12)}
				sets[key] = s
			}
			at := int(v[2])*12 + int(v[3])
			g := row.Numbers(channels...)
			s.src.Pix[at], s.want.Pix[at] = float32(v[4]), float32(v[5])
			s.guide.R.Pix[at], s.guide.G.Pix[at], s.guide.B.Pix[at] = float32(g[0]), float32(g[1]), float32(g[2])
		}
		require.NotEmpty(t, sets)
		for key, s := range sets {
			eps := key[1]
			if channels[0] == channels[1] {
				eps *= 3 // (s U + eps I)^-1 applied to equal channels is that of 3 s + eps
			}
			for i, v := range s.want.Pix {
				s.want.Pix[i] = colour.Clamped(v)
			}
			worst, at := worstOf(s.want, slowFilter(s.src, s.guide, nil, key[0], eps))
			assert.LessOrEqual(t, worst, 2e-6, "%s, r %g, eps %g, at %d", name, key[0], key[1], at)
			windows := Windows{Radius: key[0], Eps: eps, Stride: 1}
			worst, at = worstOf(s.want, filtered(t, s.src, s.guide, nil, windows))
			assert.LessOrEqual(t, worst, tolerance(eps), "%s, r %g, eps %g, at %d", name, key[0], key[1], at)
			windows.Eps = 0.02 * 0.02
			worst, at = worstOf(slowFilter(s.src, s.guide, nil, key[0], windows.Eps), filtered(t, s.src, s.guide, nil, windows))
			assert.LessOrEqual(t, worst, tolerance(windows.Eps), "%s, r %g, at %d", name, key[0], at)
		}
	}
}
