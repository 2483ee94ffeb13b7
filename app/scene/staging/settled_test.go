package staging

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/colour"
)

// blockSide is the pixels on a side of the blocks that are matched, blockMargin how many about
// each count too, and blockFar how far a block is sought each way.
const (
	blockSide   = 8
	blockMargin = 2
	blockFar    = 8
)

// lumaOf is BT.709's luma of a picture.
func lumaOf(m *colour.Image) colour.Plane {
	w, h := m.Size()
	out, k := colour.NewPlane(w, h), colour.Luma709
	for i := range out.Pix {
		out.Pix[i] = float32(k.Red)*m.R.Pix[i] + float32(1-k.Red-k.Blue)*m.G.Pix[i] + float32(k.Blue)*m.B.Pix[i]
	}
	return out
}

// matched is the motion from each pixel of a frame to the one before by block matching: each
// block goes to the whole pixel at which the luma, but for its mean, differs least. It is another
// motion than that by which mattes settle.
func matched(now, before colour.Plane) (dx, dy []int) {
	dx, dy = make([]int, len(now.Pix)), make([]int, len(now.Pix))
	for y0 := 0; y0 < now.H; y0 += blockSide {
		for x0 := 0; x0 < now.W; x0 += blockSide {
			bx, by := bestMatch(now, before, x0, y0)
			for y := y0; y < min(y0+blockSide, now.H); y++ {
				for x := x0; x < min(x0+blockSide, now.W); x++ {
					dx[y*now.W+x], dy[y*now.W+x] = bx, by
				}
			}
		}
	}
	return dx, dy
}

func bestMatch(now, before colour.Plane, x0, y0 int) (bx, by int) {
	best := math.Inf(1)
	for dy := -blockFar; dy <= blockFar; dy++ {
		for dx := -blockFar; dx <= blockFar; dx++ {
			var n, sum, square float64
			for y := max(y0-blockMargin, 0); y < min(y0+blockSide+blockMargin, now.H); y++ {
				for x := max(x0-blockMargin, 0); x < min(x0+blockSide+blockMargin, now.W); x++ {
					d := float64(now.At(x, y) - atBorder(before, x+dx, y+dy))
					n, sum, square = n+1, sum+d, square+d*d
				}
			}
			// Of alike places the nearest.
			if v := square - sum*sum/n + 1e-6*float64(dx*dx+dy*dy); v < best {
				best, bx, by = v, dx, dy
			}
		}
	}
	return bx, by
}

// atBorder is a sample, outside of the plane that of its border.
func atBorder(p colour.Plane, x, y int) float32 {
	return p.At(min(max(x, 0), p.W-1), min(max(y, 0), p.H-1))
}

// flickerOf is the mean change of a matte against the one before, carried by a motion, over the
// pixels where either is above 0.
func flickerOf(now, before colour.Plane, dx, dy []int) float64 {
	sum, n := 0., 0
	for y := range now.H {
		for x := range now.W {
			i := y*now.W + x
			a, b := now.Pix[i], atBorder(before, x+dx[i], y+dy[i])
			if a > 0 || b > 0 {
				sum += math.Abs(float64(a - b))
				n++
			}
		}
	}
	return sum / float64(n)
}

// meanOfThree is what settle would be without the motion.
func meanOfThree(a, b, c colour.Plane) colour.Plane {
	out := colour.NewPlane(a.W, a.H)
	for i := range out.Pix {
		out.Pix[i] = (a.Pix[i] + b.Pix[i] + c.Pix[i]) / 3
	}
	return out
}

// A settled matte of the scene's skin flickers far less, as told by another motion, and is as
// near to the truth; the plain mean of three frames is further from it. Flicker in the log is the
// mean change of alpha where the matte before, carried, or this one is above 0.
func TestSettleSteadiesTheSkin(t *testing.T) {
	if testing.Short() {
		t.Skip("five frames of the scene")
	}
	const seed, count = 2, 5
	folder := t.TempDir()
	take, err := Make(t.Context(), folder, seed, 640, 360, 1)
	require.NoError(t, err)
	require.NoError(t, take.Extend(t.Context(), count))
	skin := &take.Study.Mattes[0]
	luma, truth := make([]colour.Plane, count+1), make([]colour.Plane, count+1)
	for n := 1; n <= count; n++ {
		m, err := take.Renderer.Source(t.Context(), take.Study, n)
		require.NoError(t, err)
		luma[n] = lumaOf(m)
		truth[n], _, err = clip.ReadGrey(t.Context(), filepath.Join(folder, filepath.FromSlash(truthName("skin", n))))
		require.NoError(t, err)
	}
	mattes := func(share float64) []colour.Plane {
		skin.Edge.Settle.Fix(share)
		all := make([]colour.Plane, count+1)
		for n := 1; n <= count; n++ {
			all[n], err = take.Renderer.Matte(t.Context(), render.Request{Study: take.Study, Settings: &skin.Settings, Frame: n})
			require.NoError(t, err)
		}
		return all
	}
	plain := mattes(0)
	mean := make([]colour.Plane, count+1)
	for n := 2; n < count; n++ {
		mean[n] = meanOfThree(plain[n-1], plain[n], plain[n+1])
	}
	var figures [4]struct{ flicker, iou float64 }
	ways := [4][]colour.Plane{plain, mattes(1), mean, truth}
	for n := 3; n < count; n++ {
		dx, dy := matched(luma[n], luma[n-1])
		for i, of := range ways {
			figures[i].flicker += flickerOf(of[n], of[n-1], dx, dy) / (count - 3)
			figures[i].iou += iouOf(t, of[n], truth[n], nil) / (count - 3)
		}
	}
	for i, name := range []string{"not settled", "settled", "plain mean of three", "the truth"} {
		t.Logf("%-20s flicker %.4f, IoU %.4f", name, figures[i].flicker, figures[i].iou)
	}
	unsettled, settled, averaged := figures[0], figures[1], figures[2]
	assert.Less(t, settled.flicker, 0.8*unsettled.flicker)
	assert.GreaterOrEqual(t, settled.iou, unsettled.iou-0.002)
	assert.Less(t, averaged.iou, settled.iou-0.005, "without the motion it costs more")
}
