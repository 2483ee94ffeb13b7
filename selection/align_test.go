package selection

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/colour/guided"
)

// alignPictures are mattes and the pictures they are aligned to: such as they are, as contrary
// as they come, and a faint edge beside that of the matte.
var alignPictures = map[string]func(rng *rand.Rand, w, h int) (colour.Plane, *colour.Image){
	"usual": func(rng *rand.Rand, w, h int) (colour.Plane, *colour.Image) {
		return edgeMatte(rng, w, h), edgeGuide(rng, w, h)
	},
	"contrary": func(rng *rand.Rand, w, h int) (colour.Plane, *colour.Image) {
		guide := colour.NewImage(w, h)
		for i := range guide.R.Pix {
			guide.R.Pix[i], guide.G.Pix[i] = float32(i%w%2), float32(i/w%2)
			guide.B.Pix[i] = float32(rng.IntN(2))
		}
		return specks(rng, w, h), guide
	},
	"faint": func(rng *rand.Rand, w, h int) (colour.Plane, *colour.Image) {
		guide, src := colour.NewImage(w, h), colour.NewPlane(w, h)
		for i := range guide.R.Pix {
			guide.R.Pix[i] = 0.5 + 0.01*float32(rng.NormFloat64())
			if i%w > w/2 {
				guide.R.Pix[i] += 0.06
			}
			if i%w > w/2+3 {
				src.Pix[i] = 1
			}
		}
		return src, guide
	},
}

// Where there are fewer windows than pixels the result is near that of all,
// which package guided compares with the formula.
func TestEdgeAlignWithFewerWindowsIsNear(t *testing.T) {
	const w, h = 210, 190
	masks := map[string]*colour.Plane{"all": nil}
	m := edgeMask(w, h)
	masks["mask"] = &m
	rounds := 4
	if testing.Short() {
		rounds = 1
	}
	for name, picture := range alignPictures {
		for _, radius := range []float64{16, 20.3, 33, 64, 96, 150} {
			for kind, mask := range masks {
				stride := alignStride(radius, mask != nil)
				if stride == 1 {
					continue
				}
				worst := 0.
				for seed := range rounds {
					src, guide := picture(rand.New(rand.NewPCG(14, uint64(seed))), w, h)
					in := newDomain(mask, &src)
					var every, fewer colour.Plane
					require.NoError(t, tidy(t.Context(), &every, &src, 2))
					require.NoError(t, tidy(t.Context(), &fewer, &src, 2))
					windows := guided.Windows{Radius: radius, Eps: alignEps, Stride: 1}
					require.NoError(t, new(guided.Filter).Run(t.Context(), &every, &src, guide, in.Domain, windows, 2))
					windows.Stride = stride
					require.NoError(t, new(guided.Filter).Run(t.Context(), &fewer, &src, guide, in.Domain, windows, 2))
					d, _ := worstOf(every, fewer)
					worst = max(worst, d)
				}
				t.Logf("%s, %s, radius %g, cells of %d: %.4f", name, kind, radius, stride, worst)
				assert.LessOrEqual(t, worst, 0.01, "%s, %s, radius %g, cells of %d", name, kind, radius, stride)
			}
		}
	}
}

// Where the matte's edge is a few pixels off, the picture's edge says where it belongs.
func TestEdgeAlignDrawsTheMatteToThePicturesEdge(t *testing.T) {
	const w, h = 60, 40
	src, guide := colour.NewPlane(w, h), colour.NewImage(w, h)
	for y := range h {
		for x := range w {
			if x >= 30 {
				guide.R.Row(y)[x], guide.G.Row(y)[x], guide.B.Row(y)[x] = 0.7, 0.5, 0.4
			}
			if x >= 33 {
				src.Row(y)[x] = 1
			}
		}
	}
	got := apply(t, src, guide, nil, Edge{Align: 6, About: 0.5}).Row(20)
	atPicture, atMatte := got[30]-got[29], got[33]-got[32]
	assert.Greater(t, atPicture, 5*atMatte, "%v", got[25:38])
	assert.Greater(t, atPicture, float32(0.4), "%v", got[25:38])
}
