package sample

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// joints returns where the camera sees the figure's joints in a frame.
func (s *scene) joints(frame int) (at [][2]float64) {
	t := float64(frame-1) / FPS
	cam, k := s.cameraAtTime(t), s.pose.at(t, &s.course)
	for _, p := range []vec{
		k.pelvis, k.chest, k.head, k.elbow[0], k.elbow[1], k.hand[0], k.hand[1], k.knee[0], k.knee[1], k.toe[0], k.toe[1],
	} {
		x, y, _ := cam.project(p)
		at = append(at, [2]float64{x, y})
	}
	return at
}

// Nothing jumps: from frame to frame no joint goes further than a swimmer's
// would in a twenty-fifth of a second, half a metre a second or so, and none
// changes its way at once: most where an arm comes to its full length.
func TestMotionIsContinuous(t *testing.T) {
	for seed := 1; seed <= 10; seed++ {
		s := stage(seed, Width, Height, even)
		before, last := s.joints(1), s.joints(2)
		for n := 3; n <= Frames; n++ {
			now := s.joints(n)
			for i := range now {
				dx, dy := now[i][0]-last[i][0], now[i][1]-last[i][1]
				assert.Less(t, math.Hypot(dx, dy), 9.0, "seed %d, frame %d, joint %d: pixels gone", seed, n, i)
				bx, by := last[i][0]-before[i][0], last[i][1]-before[i][1]
				assert.Less(t, math.Hypot(dx-bx, dy-by), 3.0, "seed %d, frame %d, joint %d: change of way", seed, n, i)
			}
			before, last = last, now
		}
	}
}

// A clip brings what it is there for: the body turns, the arms reach, the camera
// goes, the water deepens, and all of it is nothing in frame 1.
func TestAClipBringsChange(t *testing.T) {
	for seed := 1; seed <= 10; seed++ {
		s := stage(seed, Width, Height, even)
		end := (Frames - 1.0) / FPS
		first, last := s.pose.at(0, &s.course), s.pose.at(end, &s.course)
		assert.Equal(t, s.pose.at(0, &course{}), first, "seed %d", seed)
		assert.Equal(t, s.pose.at(0.49/FPS, &course{}), s.pose.at(0.49/FPS, &s.course), "seed %d: while the shutter is open", seed)
		turned := math.Acos(first.ahead.dot(last.ahead)) * 180 / math.Pi
		assert.True(t, turned > 7 && turned < 20, "seed %d: turned by %.1f degrees", seed, turned)
		assert.Greater(t, last.chest.sub(first.chest).length(), 0.15, "seed %d: swum", seed)
		gone := s.cameraAtTime(end).at.sub(s.cameraAtTime(0).at).length()
		assert.True(t, gone > 0.12 && gone < 0.5, "seed %d: camera gone %.2f m", seed, gone)
		assert.Same(t, s.lights, s.moment(1).lights, "seed %d", seed)
		assert.Greater(t, s.moment(Frames).water.depth, s.water.depth+0.25, "seed %d", seed)
	}
}

// The truth and the picture follow: neighbouring frames are much alike and not
// the same, and frames far apart are not alike.
func TestTruthChangesSmoothly(t *testing.T) {
	clip, err := NewClip(t.Context(), 3, 320, 180)
	require.NoError(t, err)
	frame := func(n int) *Frame {
		f, err := clip.Frame(t.Context(), n, 0)
		require.NoError(t, err)
		return f
	}
	alike := func(a, b *Frame) float64 {
		lo, hi := 0.0, 0.0
		for i, v := range a.Skin.Pix {
			lo, hi = lo+float64(min(v, b.Skin.Pix[i])), hi+float64(max(v, b.Skin.Pix[i]))
		}
		return lo / hi
	}
	for _, n := range []int{1, 36, 71} {
		near := alike(frame(n), frame(n+1))
		assert.True(t, near > 0.85 && near < 0.999, "frames %d and %d overlap by %.3f", n, n+1, near)
	}
	assert.Less(t, alike(frame(1), frame(72)), 0.7)
	once, err := Render(t.Context(), 3, 36, 320, 180, 1)
	require.NoError(t, err)
	assert.True(t, once.same(frame(36)), "a clip's frame is the frame")
}
