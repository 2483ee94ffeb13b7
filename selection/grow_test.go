package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// slowDisc is the largest (sign 1) or smallest (-1) sample within a whole radius.
func slowDisc(src colour.Plane, mask *colour.Plane, radius int, sign float32) colour.Plane {
	out := colour.NewPlane(src.W, src.H)
	for y := range src.H {
		for x := range src.W {
			best := src.At(x, y)
			for dy := -radius; dy <= radius; dy++ {
				for dx := -radius; dx <= radius; dx++ {
					px, py := x+dx, y+dy
					if dx*dx+dy*dy > radius*radius || px < 0 || px >= src.W || py < 0 || py >= src.H {
						continue
					}
					if mask == nil || mask.At(px, py) > 0 {
						if v := src.At(px, py); sign*v > sign*best {
							best = v
						}
					}
				}
			}
			out.Row(y)[x] = best
			if mask != nil && !(mask.At(x, y) > 0) {
				out.Row(y)[x] = src.At(x, y)
			}
		}
	}
	return out
}

// slowGrow is the definition: between whole radii a blend.
func slowGrow(src colour.Plane, mask *colour.Plane, radius float64) colour.Plane {
	sign, r := float32(1), radius
	if radius < 0 {
		sign, r = -1, -radius
	}
	low, high := slowDisc(src, mask, int(math.Floor(r)), sign), slowDisc(src, mask, int(math.Ceil(r)), sign)
	share := r - math.Floor(r)
	for i, v := range low.Pix {
		low.Pix[i] = float32(float64(v)*(1-share) + float64(high.Pix[i])*share)
	}
	return low
}

func growBy(t testing.TB, src colour.Plane, mask *colour.Plane, radius float64) colour.Plane {
	t.Helper()
	return apply(t, src, nil, mask, Edge{Grow: radius, About: 0.5})
}

func TestEdgeGrowIsItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 1))
	for i := range 80 {
		w, h := 1+rng.IntN(170), 1+rng.IntN(90)
		src := edgeMatte(rng, w, h)
		if i%3 == 0 {
			src = specks(rng, w, h)
		}
		var mask *colour.Plane
		if i%2 == 1 {
			m := edgeMask(w, h)
			mask = &m
		}
		radius := 9 * (2*rng.Float64() - 1)
		if i%4 < 2 {
			radius = math.Round(radius)
		}
		worst, at := worstOf(slowGrow(src, mask, radius), growBy(t, src, mask, radius))
		require.LessOrEqual(t, worst, 2e-7, "%dx%d, radius %g, pixel %d", w, h, radius, at)
	}
}

// The wide forms on a picture that they cover and more.
func TestEdgeGrowByMoreThanThePicture(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 2))
	src := edgeMatte(rng, 80, 40)
	for _, radius := range []float64{33, 64, 65, -100, 200, 1000} {
		if radius < 150 && !testing.Short() {
			requireSameBits(t, slowGrow(src, nil, radius), growBy(t, src, nil, radius), "radius %g", radius)
		}
	}
	all := growBy(t, src, nil, 1000)
	for _, v := range all.Pix {
		require.Equal(t, all.Pix[0], v)
	}
}

// J. Serra, "Image Analysis and Mathematical Morphology", 1982, on the picture
// of the reference: the cross is the disc of radius 1, the diamond that of 2.
func TestEdgeGrowAgainstTheReference(t *testing.T) {
	table := map[string]colour.Plane{}
	for _, row := range testdata.Table(t, "grey_morphology.csv") {
		p, ok := table[row.Text("operation")]
		if !ok {
			p = colour.NewPlane(8, 8)
			table[row.Text("operation")] = p
		}
		for x, v := range row.NumbersFrom("c0") {
			p.Row(int(row.Number("row")))[x] = float32(v / 255)
		}
	}
	src := table["input"]
	for name, radius := range map[string]float64{"cross3": 1, "diamond5": 2} {
		requireSameBits(t, table["dilate_"+name], growBy(t, src, nil, radius), "dilate %s", name)
		requireSameBits(t, table["erode_"+name], growBy(t, src, nil, -radius), "erode %s", name)
		requireSameBits(t, table["open_"+name], growBy(t, growBy(t, src, nil, -radius), nil, radius), "open %s", name)
		requireSameBits(t, table["close_"+name], growBy(t, growBy(t, src, nil, radius), nil, -radius), "close %s", name)
	}
}

func TestEdgeGrowMovesAStraightEdgeByItsRadius(t *testing.T) {
	src := colour.NewPlane(60, 20)
	for y := range 20 {
		for x := range 30 {
			src.Row(y)[x] = 1
		}
	}
	for _, radius := range []float64{-12.7, -3, -0.5, 0.25, 1, 2.5, 11.9, 20} {
		sum := 0.
		for _, v := range growBy(t, src, nil, radius).Row(10) {
			sum += float64(v)
		}
		assert.InDelta(t, 30+radius, sum, 1e-5, "radius %g", radius)
	}
}

// Erosion is dilation of the complement.
func TestEdgeGrowAndShrinkAreDual(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 3))
	src := specks(rng, 90, 80)
	turned := colour.NewPlane(90, 80)
	for i, v := range src.Pix {
		turned.Pix[i] = 1 - v
	}
	for _, radius := range []float64{1, 4, 6.5} {
		grown, shrunk := growBy(t, src, nil, radius), growBy(t, turned, nil, -radius)
		for i, v := range shrunk.Pix {
			require.InDelta(t, grown.Pix[i], 1-v, 2e-7)
		}
	}
}
