package view

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func fitted(w, h, vw, vh int) Viewport { return Viewport{W: w, H: h, VW: vw, VH: vh}.Fit() }

// anyViewport returns one after a few random acts.
func anyViewport(r *rand.Rand) Viewport {
	v := fitted(1+r.IntN(4000), 1+r.IntN(2200), 1+r.IntN(1500), 1+r.IntN(900))
	for range r.IntN(4) {
		switch r.IntN(3) {
		case 0:
			v = v.ZoomedAt(r.Float64()*float64(v.VW), r.Float64()*float64(v.VH), math.Exp(r.Float64()*7-3.5))
		case 1:
			v = v.Panned(r.Float64()*400-200, r.Float64()*400-200)
		case 2:
			v = v.Resized(1+r.IntN(1500), 1+r.IntN(900))
		}
	}
	return v
}

func TestFit(t *testing.T) {
	v := fitted(1280, 720, 940, 664)
	assert.InDelta(t, 73.4375, v.Percent(), 1e-9)
	x, y := v.ToScreen(0, 0)
	assert.InDelta(t, 0, x, 1e-9)
	assert.InDelta(t, (664-720*940.0/1280)/2, y, 1e-9)
	assert.Equal(t, image.Rect(0, 0, 1280, 720), v.Visible())

	assert.EqualValues(t, MaxZoom, fitted(10, 10, 1000, 1000).Zoom)
	assert.EqualValues(t, MinZoom, fitted(100000, 10, 100, 100).Zoom)
	assert.Equal(t, 2.0, fitted(500, 300, 1000, 601).Zoom)
	for _, empty := range []Viewport{{}, fitted(0, 10, 5, 5), fitted(10, 10, 0, 0)} {
		assert.Empty(t, empty.Visible())
		assert.NotPanics(t, func() {
			_, _ = empty.ZoomedAt(1, 1, 2).Panned(3, 3).Resized(0, 0).ZoomedByNotches(1, 1, 1).ToPicture(3, 4)
		})
	}
}

func TestScreenAndPictureAreInverse(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 2000 {
		v := anyViewport(r)
		require.True(t, v.Zoom >= MinZoom && v.Zoom <= MaxZoom, "%+v", v)
		x, y := r.Float64()*4000, r.Float64()*4000
		gx, gy := v.ToPicture(v.ToScreen(x, y))
		require.InDelta(t, x, gx, 1e-6, "%+v", v)
		require.InDelta(t, y, gy, 1e-6, "%+v", v)
	}
}

func TestWholeZoomsLieOnWholePixels(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 1000 {
		n := float64(1 + r.IntN(MaxZoom))
		v := anyViewport(r)
		v = v.ZoomedAt(r.Float64()*float64(v.VW), r.Float64()*float64(v.VH), n)
		if r.IntN(2) == 0 {
			v = v.Panned(r.Float64()*99, r.Float64()*99)
		}
		if r.IntN(2) == 0 {
			v = v.Resized(v.VW+r.IntN(9), v.VH+r.IntN(9))
			v.Fitted = false
		}
		for range 3 {
			x, y := float64(r.IntN(v.W+1)), float64(r.IntN(v.H+1))
			sx, sy := v.ToScreen(x, y)
			require.InDelta(t, math.Round(sx), sx, 1e-6, "%+v", v)
			require.InDelta(t, math.Round(sy), sy, 1e-6, "%+v", v)
			nx, _ := v.ToScreen(x+1, y)
			require.InDelta(t, n, nx-sx, 1e-6)
		}
	}
}

func TestZoomKeepsThePoint(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 2000 {
		v := anyViewport(r)
		x, y := r.Float64()*float64(v.W), r.Float64()*float64(v.H)
		sx, sy := v.ToScreen(x, y)
		zoom := limited(math.Exp(r.Float64()*7 - 3.5))
		near := 1e-6
		if r.IntN(3) == 0 {
			zoom = math.Ceil(zoom)
		}
		if zoom == math.Trunc(zoom) {
			near += 0.5
		}
		gx, gy := v.ZoomedAt(sx, sy, zoom).ToScreen(x, y)
		require.InDelta(t, sx, gx, near)
		require.InDelta(t, sy, gy, near)
	}
	v := fitted(100, 100, 300, 200)
	assert.Equal(t, v, v.ZoomedAt(3, 3, math.NaN()))
	x, _ := v.ZoomedAt(0, 100, 8).ToScreen(0, 0)
	assert.InDelta(t, 50, x, 0.5, "beside the picture its border stays")
}

func TestVisibleIsWhatTheViewTouches(t *testing.T) {
	v := fitted(100, 80, 40, 40).ZoomedAt(20, 20, 4)
	assert.Equal(t, image.Rect(45, 35, 55, 45), v.Visible(), "%+v", v)
	v = v.Panned(1, -1)
	assert.Equal(t, image.Rect(44, 35, 55, 46), v.Visible(), "%+v", v)
	v = v.Panned(1e6, 1e6)
	assert.Equal(t, image.Rect(0, 0, 5, 5), v.Visible(), "the centre stays in the picture")

	r := rand.New(rand.NewPCG(11, 12))
	for range 1000 {
		v := anyViewport(r)
		sx, sy := (0.001+0.998*r.Float64())*float64(v.VW), (0.001+0.998*r.Float64())*float64(v.VH)
		x, y := v.ToPicture(sx, sy)
		at := image.Pt(int(math.Floor(x)), int(math.Floor(y)))
		if at.In(image.Rect(0, 0, v.W, v.H)) {
			require.True(t, at.In(v.Visible()), "%+v: %v", v, at)
		}
	}
}

func TestWheelStopsAtWholeZooms(t *testing.T) {
	v := fitted(1280, 720, 940, 664)
	var up, down []float64
	for range 16 {
		v = v.ZoomedByNotches(100, 300, 1)
		up = append(up, v.Zoom)
	}
	assert.Contains(t, up, 1.0)
	assert.Contains(t, up, 2.0)
	assert.EqualValues(t, MaxZoom, v.Zoom)
	for range 40 {
		v = v.ZoomedByNotches(100, 300, -1)
		down = append(down, v.Zoom)
	}
	assert.Contains(t, down, 1.0)
	assert.EqualValues(t, MinZoom, v.Zoom)

	v = v.ZoomedAt(9, 9, 1)
	for range 400 { // a wheel of small notches sticks nowhere
		next := v.ZoomedByNotches(100, 300, 0.1)
		require.True(t, next.Zoom > v.Zoom || next.Zoom == MaxZoom, "%v", v.Zoom)
		v = next
	}
	assert.EqualValues(t, MaxZoom, v.Zoom)
}

func TestResized(t *testing.T) {
	v := fitted(1280, 720, 940, 664)
	assert.Equal(t, fitted(1280, 720, 1480, 832), v.Resized(1480, 832))
	v = v.Panned(30, 40)
	w := v.Resized(1480, 832)
	assert.Equal(t, [3]float64{v.X, v.Y, v.Zoom}, [3]float64{w.X, w.Y, w.Zoom})
	assert.False(t, w.Fitted)
}

// A part is shown with a tenth of its size free on each side, no larger than 1:1, and
// the whole where there would be little to gain.
func TestAroundAPart(t *testing.T) {
	v := Viewport{W: 1000, H: 500, VW: 240, VH: 120}
	got := v.Around(image.Rect(300, 100, 500, 150))
	assert.InDelta(t, 1, got.Zoom, 1e-9)
	assert.InDelta(t, 400, got.X, 1)
	assert.InDelta(t, 125, got.Y, 1)
	assert.InDelta(t, 0.5, v.Around(image.Rect(300, 100, 700, 150)).Zoom, 1e-9)
	corner := v.Around(image.Rect(0, 480, 20, 500))
	assert.InDelta(t, 120, corner.X, 1, "the view stays on the picture")
	assert.InDelta(t, 440, corner.Y, 1)
	assert.InDelta(t, 1, v.Around(image.Rect(300, 100, 310, 110)).Zoom, 1e-9)
	assert.Equal(t, v.Fit(), v.Around(image.Rect(10, 10, 990, 480)))
	assert.Equal(t, v.Fit(), v.Around(image.Rectangle{}))
	assert.Equal(t, v.Fit(), v.Around(image.Rect(2000, 0, 3000, 10)))
	assert.Equal(t, 1000., v.Fit().At(4000, -3).X)
	assert.Equal(t, Viewport{}, Viewport{}.At(1, 1))
}
