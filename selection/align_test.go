package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"halocline/colour"
	"halocline/testdata"
)

// slowWindow calls f for the pixels that take part in the window about (x,y)
// with their weights: 1 within the radius, a share of it for the next ones.
func slowWindow(w, h int, mask *colour.Plane, x, y int, radius float64, f func(at int, weight float64)) {
	reach := int(math.Ceil(radius))
	for py := max(0, y-reach); py <= min(h-1, y+reach); py++ {
		for px := max(0, x-reach); px <= min(w-1, x+reach); px++ {
			if mask != nil && !(mask.At(px, py) > 0) {
				continue
			}
			along := min(radius+1-math.Abs(float64(px-x)), 1)
			down := min(radius+1-math.Abs(float64(py-y)), 1)
			f(py*w+px, along*down)
		}
	}
}

// slowAlign is the guided filter as He, Sun & Tang 2013 print it (eqs. 19 to
// 21), for every window, solved by a library.
func slowAlign(src colour.Plane, guide *colour.Image, mask *colour.Plane, radius, eps float64) colour.Plane {
	w, h := src.W, src.H
	colourAt := func(at int) [3]float64 {
		return [3]float64{float64(guide.R.Pix[at]), float64(guide.G.Pix[at]), float64(guide.B.Pix[at])}
	}
	coef := make([][4]float64, w*h)
	for at := range coef {
		var n, mp float64
		var mu, cross [3]float64
		sigma := mat.NewSymDense(3, nil)
		slowWindow(w, h, mask, at%w, at/w, radius, func(q int, weight float64) {
			n += weight
			mp += weight * float64(src.Pix[q])
			for i, v := range colourAt(q) {
				mu[i] += weight * v
			}
		})
		mp /= n
		for i := range mu {
			mu[i] /= n
		}
		slowWindow(w, h, mask, at%w, at/w, radius, func(q int, weight float64) {
			c := colourAt(q)
			for i := range 3 {
				cross[i] += weight / n * (c[i] - mu[i]) * (float64(src.Pix[q]) - mp)
				for j := i; j < 3; j++ {
					sigma.SetSym(i, j, sigma.At(i, j)+weight/n*(c[i]-mu[i])*(c[j]-mu[j]))
				}
			}
		})
		for i := range 3 {
			sigma.SetSym(i, i, sigma.At(i, i)+eps)
		}
		var a mat.VecDense
		if n > 0 && a.SolveVec(sigma, mat.NewVecDense(3, cross[:])) == nil {
			coef[at] = [4]float64{a.AtVec(0), a.AtVec(1), a.AtVec(2), mp}
			for i := range 3 {
				coef[at][3] -= a.AtVec(i) * mu[i]
			}
		}
	}
	out := colour.NewPlane(w, h)
	for at := range coef {
		var mean [4]float64
		n := 0.
		slowWindow(w, h, mask, at%w, at/w, radius, func(q int, weight float64) {
			n += weight
			for i, v := range coef[q] {
				mean[i] += weight * v
			}
		})
		q := mean[3]
		for i, v := range colourAt(at) {
			q += mean[i] * v
		}
		out.Pix[at] = float32(min(max(q/n, 0), 1))
		if mask != nil && !(mask.Pix[at] > 0) {
			out.Pix[at] = src.Pix[at]
		}
	}
	return out
}

func alignBy(t testing.TB, src colour.Plane, guide *colour.Image, mask *colour.Plane, radius float64) colour.Plane {
	t.Helper()
	return apply(t, src, guide, mask, Edge{Align: radius, About: 0.5})
}

// alignTolerance is what 14 bits of guide and alpha cost: rounding of 3e-5
// times slopes of at most 12.5.
const alignTolerance = 5e-4

func TestEdgeAlignIsItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 1))
	for i, radius := range []float64{1, 2, 3, 5, 7, 0.25, 0.75, 1.5, 2.75, 4.125, 7.9375} {
		w, h := 10+rng.IntN(40), 10+rng.IntN(30)
		src, guide := edgeMatte(rng, w, h), edgeGuide(rng, w, h)
		mask := edgeMask(w, h)
		for _, m := range []*colour.Plane{nil, &mask} {
			worst, at := worstOf(slowAlign(src, guide, m, radius, alignEps), alignBy(t, src, guide, m, radius))
			require.LessOrEqual(t, worst, alignTolerance, "round %d: %dx%d, radius %g, pixel %d", i, w, h, radius, at)
		}
	}
}

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
// which TestEdgeAlignIsItsDefinition compares with the formula.
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
					in.begin(&every, &src)
					in.begin(&fewer, &src)
					require.NoError(t, new(aligner).filter(t.Context(), &every, &src, guide, in, radius, 1, 2))
					require.NoError(t, new(aligner).filter(t.Context(), &fewer, &src, guide, in, radius, stride, 2))
					d, _ := worstOf(every, fewer)
					worst = max(worst, d)
				}
				t.Logf("%s, %s, radius %g, cells of %d: %.4f", name, kind, radius, stride, worst)
				assert.LessOrEqual(t, worst, 0.01, "%s, %s, radius %g, cells of %d", name, kind, radius, stride)
			}
		}
	}
}

// K. He, J. Sun, X. Tang 2013, windows clipped at the border: eqs. 5, 6 and 8
// with a grey guide in all three channels, for which eps counts three times;
// eqs. 19 to 21 with a colour guide. The twin is compared with both, with their eps,
// and this package's filter to the twin.
func TestEdgeAlignTwinAgainstTheReference(t *testing.T) {
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
				s.want.Pix[i] = alpha(v)
			}
			worst, at := worstOf(s.want, slowAlign(s.src, s.guide, nil, key[0], eps))
			assert.LessOrEqual(t, worst, 2e-6, "%s, r %g, eps %g, at %d", name, key[0], key[1], at)
			worst, at = worstOf(slowAlign(s.src, s.guide, nil, key[0], alignEps), alignBy(t, s.src, s.guide, nil, key[0]))
			assert.LessOrEqual(t, worst, alignTolerance, "%s, r %g, at %d", name, key[0], at)
		}
	}
}

// The 3 x 3 mean of the reference, clipped at the border, is what the sums give.
func TestEdgeBoxSumsAgainstTheReference(t *testing.T) {
	picture := make([][]uint32, 8)
	for _, row := range testdata.Table(t, "grey_morphology.csv") {
		if row.Text("operation") == "input" {
			y := int(row.Number("row"))
			for _, v := range row.NumbersFrom("c0") {
				picture[y] = append(picture[y], uint32(v))
			}
		}
	}
	var b boxer
	b.reset(2, 8, 8, 0, 1.5)
	for _, row := range testdata.Table(t, "box_filter.csv") {
		sums := b.next(func(y int, into [][]uint32) {
			copy(into[0], picture[y])
			for x := range into[1] {
				into[1][x] = 1
			}
		})
		for x, want := range row.NumbersFrom("c0") {
			assert.InDelta(t, want, float64(sums[0][x])/float64(sums[1][x]), 1e-9)
		}
	}
}

// Sums are those of the definition wherever the walk starts, whole or not.
func TestEdgeBoxSumsAreTheirDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(14, 3))
	for range 60 {
		w, h, start := 1+rng.IntN(30), 1+rng.IntN(30), 0
		start = rng.IntN(h)
		sixtyFourths := 32 + rng.IntN(64*12)
		rows := make([][]uint32, h)
		for y := range rows {
			for range w {
				rows[y] = append(rows[y], rng.Uint32())
			}
		}
		var b boxer
		b.reset(1, w, h, start, float64(sixtyFourths)/64)
		for y := start; y < h; y++ {
			sums := b.next(func(y int, into [][]uint32) { copy(into[0], rows[y]) })
			for x, got := range sums[0] {
				want := uint64(0)
				for py := range h {
					for px := range w {
						weight := func(d int) uint64 { return uint64(min(max(sixtyFourths+32-64*max(d, -d), 0), 64)) }
						want += weight(px-x) * weight(py-y) * uint64(rows[py][px])
					}
				}
				require.Equal(t, want, got*(64*64)/(b.unit*b.unit), "%dx%d from %d, half %d/64, at (%d,%d)", w, h, start, sixtyFourths, x, y)
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
	got := alignBy(t, src, guide, nil, 6).Row(20)
	atPicture, atMatte := got[30]-got[29], got[33]-got[32]
	assert.Greater(t, atPicture, 5*atMatte, "%v", got[25:38])
	assert.Greater(t, atPicture, float32(0.4), "%v", got[25:38])
}
