package edge

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/mask"
)

// A trial is a murky picture with a wavy disc in it, and what lies inside.
type trial struct {
	size  image.Point
	m     *colour.Image
	truth colour.Plane
}

func newTrial(w, h int, cx, cy, r float64) trial {
	s := trial{size: image.Pt(w, h), m: murky(w, h, cx, cy, r, r), truth: colour.NewPlane(w, h)}
	for i := range s.truth.Pix {
		x, y := float64(i%w)-cx, float64(i/w)-cy
		if math.Hypot(x, y)/r < 1+0.1*math.Sin(5*math.Atan2(y, x)) {
			s.truth.Pix[i] = 1
		}
	}
	return s
}

func (s trial) find(t *testing.T, shape mask.Shape, how mask.Search, workers int) *Found {
	t.Helper()
	in := Crop(shape, s.size)
	var part colour.Image
	if !in.Empty() {
		part = *colour.NewImage(in.Dx(), in.Dy())
		for y := range in.Dy() {
			copy(part.R.Row(y), s.m.R.Row(y + in.Min.Y)[in.Min.X:in.Max.X])
			copy(part.G.Row(y), s.m.G.Row(y + in.Min.Y)[in.Min.X:in.Max.X])
			copy(part.B.Row(y), s.m.B.Row(y + in.Min.Y)[in.Min.X:in.Max.X])
		}
	}
	f, err := Find(t.Context(), shape, how, &part, s.size, workers)
	require.NoError(t, err)
	return f
}

// iou compares what was found with the truth.
func (s trial) iou(t *testing.T, f *Found) float64 {
	t.Helper()
	require.False(t, f.Lost)
	p := f.plane(t, s.size)
	both, any := 0., 0.
	for i, v := range s.truth.Pix {
		both += float64(min(v, p.Pix[i]))
		any += float64(max(v, p.Pix[i]))
	}
	return both / any
}

func (f *Found) plane(t *testing.T, size image.Point) (p colour.Plane) {
	t.Helper()
	layers := []mask.Layer{{Shape: mask.Shape{Points: ellipse(1, 1, 1, 1, 3), Opacity: 1}}}
	require.NoError(t, mask.ComposeFound(t.Context(), &p, layers, []*mask.Raster{&f.Weights}, mask.Whole(size.X, size.Y), 1))
	return p
}

func disc(cx, cy, r float64) mask.Shape {
	return mask.Shape{Points: ellipse(cx, cy, r, r, 24), Opacity: 1}
}

// wavy is an outline of a trial's form.
func wavy(cx, cy, r float64) mask.Shape {
	s := disc(cx, cy, r)
	for i, p := range s.Points {
		k := 1 + 0.1*math.Sin(5*math.Atan2(p.Y-cy, p.X-cx))
		s.Points[i] = mask.Point{X: cx + k*(p.X-cx), Y: cy + k*(p.Y-cy)}
	}
	s.Rounded = true
	return s
}

// A loose outline is led to the edge, a tight one that lies off it on either side too.
func TestOutlinesAreLedToTheEdge(t *testing.T) {
	s := newTrial(360, 300, 180, 150, 80)
	for name, c := range map[string]struct {
		shape mask.Shape
		how   mask.Search
		least float64
	}{
		"loose":          {disc(180, 150, 112), mask.Search{Depth: 24}, 0.97},
		"very loose":     {disc(175, 155, 125), mask.Search{Depth: 24}, 0.97},
		"tight, outside": {wavy(180, 150, 85), mask.Search{Depth: 24, Tight: true}, 0.97},
		"tight, inside":  {wavy(180, 150, 75), mask.Search{Depth: 24, Tight: true}, 0.97},
	} {
		f := s.find(t, c.shape, c.how, 1)
		assert.Greater(t, s.iou(t, f), c.least, name)
	}
}

// What is found as an outline fills what is found as weights.
func TestTheOutlineIsThatOfTheWeights(t *testing.T) {
	s := newTrial(360, 300, 180, 150, 80)
	for _, at := range []image.Point{{180, 150}, {40, 150}, {330, 280}} { // the middle, and over the border
		s := newTrial(s.size.X, s.size.Y, float64(at.X), float64(at.Y), 80)
		f := s.find(t, disc(float64(at.X), float64(at.Y), 110), mask.Search{Depth: 24}, 1)
		weights := f.plane(t, s.size)
		var p colour.Plane
		shape := mask.Shape{Points: f.Outline, Opacity: 1}
		require.NoError(t, shape.Draw(t.Context(), &p, mask.Whole(s.size.X, s.size.Y), 1))
		wrong := 0
		for i, v := range weights.Pix {
			if (v >= 0.75) != (p.Pix[i] >= 0.5) && (v < 0.25) != (p.Pix[i] < 0.5) {
				wrong++
			}
		}
		assert.Less(t, wrong, 5, "%v", at)
		assert.Greater(t, s.iou(t, f), 0.96, "%v", at)
	}
}

// Dabs inside the outline hold; one outside of it has no say.
func TestDabsAreHard(t *testing.T) {
	s := newTrial(360, 300, 180, 150, 80)
	shape := disc(180, 150, 112)
	in := mask.Dab{X: 180, Y: 48, Radius: 5, Inside: true} // on the ground
	out := mask.Dab{X: 180, Y: 150, Radius: 6}             // amid the disc
	f := s.find(t, shape, mask.Search{Depth: 24, Dabs: []mask.Dab{in, out}}, 1)
	p := f.plane(t, s.size)
	assert.EqualValues(t, 1, p.At(180, 48))
	assert.EqualValues(t, 0, p.At(180, 150))
	beyond := mask.Dab{X: 180, Y: 20, Radius: 5, Inside: true}
	f = s.find(t, shape, mask.Search{Depth: 24, Dabs: []mask.Dab{beyond}}, 1)
	assert.EqualValues(t, 0, f.plane(t, s.size).At(180, 20))
}

// A gap between two limbs, that the outline spans, does not stay inside.
func TestAGapIsLeftOut(t *testing.T) {
	s := trial{size: image.Pt(360, 300), m: colour.NewImage(360, 300), truth: colour.NewPlane(360, 300)}
	r := rand.New(rand.NewPCG(5, 5))
	for i := range s.truth.Pix {
		x, y := i%360, i/360
		rgb := [3]float32{0.3, 0.45, 0.45}
		if y >= 60 && y < 240 && (x >= 95 && x < 160 || x >= 190 && x < 255) {
			s.truth.Pix[i], rgb = 1, [3]float32{0.4, 0.43, 0.4}
		}
		for c, p := range []*colour.Plane{&s.m.R, &s.m.G, &s.m.B} {
			p.Pix[i] = rgb[c] + float32(r.NormFloat64()*0.015)
		}
	}
	shape := mask.Shape{Points: []mask.Point{{X: 80, Y: 40}, {X: 275, Y: 40}, {X: 275, Y: 260}, {X: 80, Y: 260}}, Opacity: 1}
	f := s.find(t, shape, mask.Search{Depth: 24}, 1)
	assert.Greater(t, s.iou(t, f), 0.95)
}

// Where there is no edge, or nothing to look at, it is said.
func TestNothingIsFoundWhereNothingIs(t *testing.T) {
	black := trial{size: image.Pt(200, 160), m: colour.NewImage(200, 160)}
	for name, shape := range map[string]mask.Shape{
		"black":         disc(100, 80, 50),
		"off the frame": disc(5000, 80, 50),
		"far off":       disc(-1e8, 1e8, 50),
		"three pixels":  disc(100, 80, 1),
		"a line":        {Points: []mask.Point{{X: 10, Y: 10}, {X: 90, Y: 10}, {X: 50, Y: 10}}, Opacity: 1},
		"a point":       {Points: []mask.Point{{X: 10, Y: 10}, {X: 10, Y: 10}, {X: 10, Y: 10}}, Opacity: 1},
	} {
		for _, tight := range []bool{false, true} {
			f := black.find(t, shape, mask.Search{Depth: 24, Tight: tight}, 1)
			if !tight || name != "black" { // a tight outline on black is cut where it is drawn
				assert.True(t, f.Lost, "%s, tight %v", name, tight)
			}
		}
	}
}

// Specks that remain are no edge: what is found has an outline or is lost.
func TestSpecksAreNoEdge(t *testing.T) {
	s := trial{size: image.Pt(120, 100), m: colour.NewImage(120, 100)}
	r := rand.New(rand.NewPCG(8, 8))
	for round := range 40 {
		for i := range s.m.R.Pix {
			v := float32(r.NormFloat64() * 0.1)
			s.m.R.Pix[i], s.m.G.Pix[i], s.m.B.Pix[i] = 0.4+v, 0.4-v, 0.4
		}
		f := s.find(t, disc(60, 50, 3+float64(round)), mask.Search{Depth: 24}, 1)
		assert.Equal(t, f.Lost, len(f.Outline) < 3)
	}
}

// Hard outlines are found in all the same: 10,000 vertices, one that crosses itself.
func TestDifficultOutlines(t *testing.T) {
	s := newTrial(360, 300, 180, 150, 80)
	many := mask.Shape{Points: ellipse(180, 150, 112, 112, 10_000), Opacity: 1}
	assert.Greater(t, s.iou(t, s.find(t, many, mask.Search{Depth: 24}, 1)), 0.96)
	crossed := disc(180, 150, 112)
	crossed.Points[3], crossed.Points[4] = crossed.Points[4], crossed.Points[3]
	assert.Greater(t, s.iou(t, s.find(t, crossed, mask.Search{Depth: 24}, 1)), 0.96)
}

// Numbers that are none in the picture do no harm.
func TestAPictureWithHoles(t *testing.T) {
	s := newTrial(360, 300, 180, 150, 80)
	for i := 0; i < len(s.m.R.Pix); i += 997 {
		s.m.R.Pix[i], s.m.G.Pix[(i+7)%len(s.m.R.Pix)] = float32(math.NaN()), float32(math.Inf(1))
	}
	f := s.find(t, disc(180, 150, 112), mask.Search{Depth: 24}, 1)
	for _, v := range f.Weights.Pix {
		require.True(t, v >= 0 && v <= 1)
	}
	assert.Greater(t, s.iou(t, f), 0.9)
}

// The same bytes for any number of workers, and each time.
func TestSameBytesForAnyNumberOfWorkers(t *testing.T) {
	s := newTrial(360, 300, 180, 150, 80)
	want := s.find(t, disc(180, 150, 112), mask.Search{Depth: 24}, 1)
	for _, workers := range []int{1, 2, 7} {
		assert.Equal(t, want, s.find(t, disc(180, 150, 112), mask.Search{Depth: 24}, workers))
	}
}

// On a picture of 2160 lines the edge is found at half the size first, and ends where that
// of 1080 lines does.
func TestLargePictures(t *testing.T) {
	at := func(k float64) float64 {
		s := newTrial(int(600*k), int(1080*k), 300*k, 500*k, 120*k)
		return s.iou(t, s.find(t, disc(300*k, 500*k, 160*k), mask.Search{Depth: 24 * k}, 1))
	}
	small, large := at(1), at(2)
	assert.Greater(t, small, 0.97)
	assert.Greater(t, large, 0.97)
}
