package render

import (
	"context"
	"errors"
	"image"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A drift is a clip of a disc that moves, not at constant speed, over a ground at rest. Both
// have a texture, and the disc turns.
type drift struct {
	w, h, count int
	gone        int // the frame that is missing, 0 for none
	scale       int // of all lengths, 0 for 1
}

const driftRadius = 34

func (d drift) times() float64 { return float64(max(d.scale, 1)) }

var errGone = errors.New("no such frame")

func (d drift) Has(n int) bool { return n >= 1 && n <= d.count && n != d.gone }

// middle is where the disc is on a frame.
func (d drift) middle(n int) mask.Point {
	u := float64(n-1) / float64(d.count-1)
	return mask.Point{X: d.times() * (60 + 42*u*u), Y: d.times() * (80 + 10*math.Sin(math.Pi*u))}
}

// A wave is one of those that a texture is a sum of.
type wave struct{ x, y, phase float64 }

func waves(seed uint64) (all [14]wave) {
	r := rand.New(rand.NewPCG(seed, 1))
	for i := range all {
		sin, cos := math.Sincos(2 * math.Pi * r.Float64())
		k := 0.05 + 0.6*r.Float64()
		all[i] = wave{k * cos, k * sin, 2 * math.Pi * r.Float64()}
	}
	return all
}

var groundWaves, discWaves = waves(3), waves(5)

func texture(of *[14]wave, x, y float64) (v float64) {
	for _, w := range of {
		v += math.Sin(w.x*x + w.y*y + w.phase)
	}
	return v / 5
}

var drifts sync.Map // of *colour.Image, by driftFrame

type driftFrame struct {
	drift
	n int
}

func (d drift) Frame(_ context.Context, n int) (*colour.Image, error) {
	if !d.Has(n) {
		return nil, errGone
	}
	if m, ok := drifts.Load(driftFrame{d, n}); ok {
		return m.(*colour.Image), nil
	}
	m := colour.NewImage(d.w, d.h)
	at := d.middle(n)
	sin, cos := math.Sincos(0.02 * float64(n))
	for y := range d.h {
		for x := range d.w {
			i := y*d.w + x
			dx, dy := float64(x)+0.5-at.X, float64(y)+0.5-at.Y
			in := min(max(driftRadius*d.times()-math.Hypot(dx, dy)+0.5, 0), 1)
			ground, disc := texture(&groundWaves, float64(x), float64(y)), texture(&discWaves, cos*dx+sin*dy, cos*dy-sin*dx)
			for c, p := range []*colour.Plane{&m.R, &m.G, &m.B} {
				g := [3]float64{0.3, 0.42, 0.45}[c] + 0.12*ground
				s := [3]float64{0.42, 0.4, 0.38}[c] + 0.12*disc
				p.Pix[i] = float32(g + in*(s-g))
			}
		}
	}
	drifts.Store(driftFrame{d, n}, m)
	return m, nil
}

// ring is the disc's outline on a frame, drawn by hand: a polygon off by so much.
func (d drift) ring(n int, off float64) []mask.Point {
	at := d.middle(n)
	out := make([]mask.Point, 16)
	for i := range out {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 16)
		out[i] = mask.Point{X: at.X + (driftRadius*d.times()+off)*cos, Y: at.Y + (driftRadius*d.times()+off)*sin}
	}
	return out
}

// iou compares a mask with the disc.
func (d drift) iou(n int, m colour.Plane) float64 {
	at := d.middle(n)
	both, either := 0., 0.
	for y := range m.H {
		for x := range m.W {
			in := math.Hypot(float64(x)+0.5-at.X, float64(y)+0.5-at.Y) < driftRadius
			is := m.Pix[y*m.W+x] > 0.5
			if in && is {
				both++
			}
			if in || is {
				either++
			}
		}
	}
	return both / either
}

// driftStudy is a study of a drift with a keep mask that has keys on frames.
func driftStudy(d drift, search float64, way mask.Way, frames ...int) (*study.Study, *study.Settings) {
	s := study.New(study.Clip{Path: "drift", First: 1, Count: d.count, Noise: [3]float64{0.004, 0.004, 0.004}})
	set := study.NewSettings(selection.LCh)
	t := mask.Track{Search: search}
	for _, n := range frames {
		t.Keys = append(t.Keys, study.MaskKey{Frame: n, Way: way, Points: d.ring(n, 1), Opacity: 1, Tight: true})
	}
	set.Masks = []study.Mask{{ID: 1, Kind: study.Keep, Track: t}}
	return s, &set
}

func maskOn(t *testing.T, r *Renderer, s *study.Study, set *study.Settings, n int) colour.Plane {
	t.Helper()
	m, err := r.Mask(t.Context(), Request{Study: s, Settings: set, Frame: n})
	require.NoError(t, err)
	return m
}

// A followed mask stays on a disc that speeds up; one that goes straight does not.
func TestAFollowedMaskStaysOnItsSubject(t *testing.T) {
	if testing.Short() { // as with the race detector
		t.Skip("TestFollowedMasksAreTheSame runs the same goroutines")
	}
	d := drift{w: 240, h: 160, count: 13}
	for _, c := range []struct {
		name          string
		search        float64
		way           mask.Way
		before, after mask.Beyond
		keys          []int
		least         float64
	}{
		{"between keys, the edge found", 12, mask.Follow, false, false, []int{1, 13}, 0.93},
		{"between keys", 0, mask.Follow, false, false, []int{1, 13}, 0.9},
		{"after the last key", 12, mask.Follow, false, true, []int{1}, 0.93},
		{"before the first key", 12, mask.Follow, true, false, []int{13}, 0.93},
		{"on both sides of one", 0, mask.Follow, true, true, []int{7}, 0.88},
	} {
		s, set := driftStudy(d, c.search, c.way, c.keys...)
		set.Masks[0].Before, set.Masks[0].After = c.before, c.after
		r := New(d, 2, DefaultCache)
		for n := 1; n <= d.count; n++ {
			assert.Greater(t, d.iou(n, maskOn(t, r, s, set, n)), c.least, "%s: frame %d", c.name, n)
		}
		o, err := r.Outlines(t.Context(), Request{Study: s, Settings: set, Frame: 6})
		require.NoError(t, err)
		assert.Greater(t, o[0].Confidence, 0.6, c.name)
		if c.search > 0 {
			assert.Less(t, o[0].Confidence, 1., c.name)
		}
	}
	s, set := driftStudy(d, 0, mask.Straight, 1, 13)
	assert.Less(t, d.iou(7, maskOn(t, New(d, 2, DefaultCache), s, set, 7)), 0.6, "straight")
}

// What is found on a frame does not depend on which frames were asked for before, on the
// number of workers, or on the part of the frame.
func TestFollowedMasksAreTheSame(t *testing.T) {
	d := drift{w: 200, h: 140, count: 7}
	for _, search := range []float64{0, 12} {
		s, set := driftStudy(d, search, mask.Follow, 1, 7)
		set.Masks[0].Keys[1].Points = set.Masks[0].Keys[1].Points[1:] // as many points as it likes
		want := map[int]colour.Plane{}
		r := New(d, 1, DefaultCache)
		for n := 1; n <= 7; n++ {
			want[n] = maskOn(t, r, s, set, n)
		}
		for _, workers := range []int{1, 2, 7} {
			for _, frames := range [][]int{{4}, {6, 2, 5}} {
				r := New(d, workers, DefaultCache)
				for _, n := range frames {
					requireSame(t, want[n], maskOn(t, r, s, set, n), n, workers)
				}
			}
		}
		q := Request{Study: s, Settings: set, Frame: 4, Region: image.Rect(60, 60, 110, 100)}
		got, err := New(d, 2, DefaultCache).Mask(t.Context(), q)
		require.NoError(t, err)
		requireSame(t, partOf(want[4], q.Region), got, "a part")
		small := New(d, 2, 1) // keeps nothing
		requireSame(t, want[4], maskOn(t, small, s, set, 4), "no cache")
	}
}

// Over a missing frame the motion is found from its neighbours; a key there counts as drawn.
func TestFollowingOverAMissingFrame(t *testing.T) {
	d := drift{w: 240, h: 160, count: 9, gone: 4}
	s, set := driftStudy(d, 12, mask.Follow, 1, 9)
	r := New(d, 2, DefaultCache)
	for _, n := range []int{2, 3, 5, 8} {
		assert.Greater(t, d.iou(n, maskOn(t, r, s, set, n)), 0.93, "frame %d", n)
	}
	_, err := r.Mask(t.Context(), Request{Study: s, Settings: set, Frame: 4})
	require.ErrorIs(t, err, errGone)
	s, set = driftStudy(d, 12, mask.Follow, 4, 9)
	for _, n := range []int{5, 7} {
		assert.Greater(t, d.iou(n, maskOn(t, New(d, 2, DefaultCache), s, set, n)), 0.9, "frame %d", n)
	}
}

// On a long way from a key the frames are looked at, not kept.
func TestFramesOnTheWayAreNotKept(t *testing.T) {
	d := drift{w: 160, h: 120, count: 25}
	s, set := driftStudy(d, 0, mask.Follow, 1, 25)
	r := New(d, 1, DefaultCache)
	maskOn(t, r, s, set, 13)
	assert.LessOrEqual(t, r.Runs()[Decode], 3, "those of the keys and the one asked for")
	assert.Equal(t, 24, r.Runs()[FindFlow], "one for each step from both keys")
	assert.Equal(t, mostFlows, r.flows.order.Len())
	assert.Equal(t, mostLumas, r.lumas.order.Len())
}

// A stretch is carried once, not once a frame; who has no time gets the nearest key's outline.
func TestAStretchIsCarriedOnce(t *testing.T) {
	d := drift{w: 160, h: 120, count: 9}
	s, set := driftStudy(d, 0, mask.Follow, 1, 9)
	r := New(d, 2, DefaultCache)
	q := Request{Study: s, Settings: set, Frame: 2, NoSearch: true}
	m, err := r.Mask(t.Context(), q)
	require.NoError(t, err)
	require.Zero(t, r.Runs()[FindFlow])
	key, err := r.Mask(t.Context(), Request{Study: s, Settings: set, Frame: 1})
	require.NoError(t, err)
	requireSame(t, key, m, "the first key's")
	for n := 2; n < 9; n++ {
		maskOn(t, r, s, set, n)
	}
	require.LessOrEqual(t, r.Runs()[FindFlow], 2*8, "one forth and one back for each pair of frames")
	require.LessOrEqual(t, r.Runs()[ReadLuma], 2*9, "each frame's from the first key and from the last")
	q.Frame = 5
	found, err := r.Mask(t.Context(), q)
	require.NoError(t, err)
	requireSame(t, maskOn(t, r, s, set, 5), found, "what was followed before is shown")
}

// A mask whose subject leaves the picture says so.
func TestASubjectThatLeavesIsLost(t *testing.T) {
	d := drift{w: 76, h: 160, count: 13} // the disc's middle goes from 60 to 120
	s, set := driftStudy(d, 12, mask.Follow, 1)
	set.Masks[0].After = mask.Follows
	r := New(d, 2, DefaultCache)
	o, err := r.Outlines(t.Context(), Request{Study: s, Settings: set, Frame: 13})
	require.NoError(t, err)
	t.Logf("lost %v, confidence %.2f", o[0].Found.Lost, o[0].Confidence)
	assert.True(t, o[0].Found.Lost || o[0].Confidence < 0.5)
}

// A dab on a frame of a stretch goes along to its neighbours with the subject, smaller with
// each frame.
func TestDabsGoAlongAStretch(t *testing.T) {
	d := drift{w: 240, h: 160, count: 13}
	s, set := driftStudy(d, 12, mask.Follow, 1, 13)
	at := d.middle(5)
	r := New(d, 2, DefaultCache)
	alpha := func(n int, at mask.Point) float32 { return maskOn(t, r, s, set, n).At(int(at.X), int(at.Y)) }
	require.Greater(t, alpha(9, d.middle(9)), float32(0.9))
	set.MaskDabs = []study.Dab{{ID: 7, Frame: 5, X: at.X, Y: at.Y, Radius: 6, Kind: study.Drop}}
	for _, n := range []int{3, 5, 9} {
		assert.Less(t, alpha(n, d.middle(n)), float32(0.1), "frame %d", n)
	}
	set.MaskDabs[0].Frame = 14
	assert.Greater(t, alpha(9, d.middle(9)), float32(0.9), "off the stretch")
}

// What another renderer of the clip found is known to one that shares it, and nothing is found
// for the question.
func TestOutlinesKnownAlready(t *testing.T) {
	d := drift{w: 200, h: 140, count: 7}
	s, set := driftStudy(d, 12, mask.Follow, 1, 7)
	q := func(frame int) Request { return Request{Study: s, Settings: set, Frame: frame} }
	r := New(d, 2, DefaultCache)
	r.ShareFound()
	known, err := r.KnownOutlines(t.Context(), q(4))
	require.NoError(t, err)
	assert.Empty(t, known)
	assert.Zero(t, r.Runs()[FollowMask])
	made, err := r.Alone(1, DefaultCache).Outlines(t.Context(), q(4))
	require.NoError(t, err)
	known, err = r.KnownOutlines(t.Context(), q(4))
	require.NoError(t, err)
	require.Len(t, known, 1)
	assert.Equal(t, made[0].Found.Contours, known[0].Found.Contours)
	assert.Equal(t, made[0].Confidence, known[0].Confidence)
	assert.Zero(t, r.Runs()[FollowMask])
	for frame, what := range map[int]string{5: "not found yet", 7: "a key"} {
		known, err = r.KnownOutlines(t.Context(), q(frame))
		require.NoError(t, err)
		assert.Empty(t, known, what)
	}
}
