package render

import (
	"context"
	"fmt"
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/motion"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A swim is a clip in memory: a bright disc that goes over a textured ground, both with noise.
type swim struct {
	frames map[int]*colour.Image
	study  *study.Study
}

func (s *swim) Has(n int) bool { return s.frames[n] != nil }

func (s *swim) Frame(_ context.Context, n int) (*colour.Image, error) {
	if m := s.frames[n]; m != nil {
		return m, nil
	}
	return nil, fmt.Errorf("there is no frame %d", n)
}

const swimWidth, swimHeight = 320, 200

// swimFrame draws a frame on a ground of a kind.
func swimFrame(n, w, h, ground int) *colour.Image {
	m := colour.NewImage(w, h)
	noise := uint32(n*7919 + ground)
	period := 5 + 4*float64(ground)
	for y := range h {
		for x := range w {
			u, v := float64(x)-4*float64(n), float64(y)+2*float64(n)
			value := 0.35 + 0.08*math.Sin(u/period)*math.Cos(v/(period+2)) + 0.06*math.Sin((u+v)/17+float64(ground))
			d := 40 - math.Hypot(u-120, v-110)
			value += 0.4 * min(max(d/5+0.5, 0), 1)
			noise = noise*1664525 + 1013904223
			value += 0.05 * (float64(noise>>8)/(1<<24) - 0.5)
			i := y*w + x
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = float32(value), float32(value), float32(value)
		}
	}
	return m
}

// newSwim returns frames 1 to count and a study of them: a matte of what is bright.
func newSwim(count int) *swim {
	s := &swim{frames: map[int]*colour.Image{}, study: study.New(study.Clip{Path: "swim", First: 1, Count: count})}
	for n := 1; n <= count; n++ {
		s.frames[n] = swimFrame(n, swimWidth, swimHeight, 1)
	}
	m := s.study.AddMatte("disc", selection.HSL)
	m.Pick.Smooth = false
	m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 0.65, To: 1, Before: 0.2})}
	m.Edge.Soften.Fix(0.8)
	return s
}

func (s *swim) matte(i int) *study.Matte { return &s.study.Mattes[i] }

func (s *swim) ask(frame int) Request {
	return Request{Study: s.study, Settings: &s.matte(0).Settings, Frame: frame}
}

// rendered is the matte of a request, by a renderer of its own.
func (s *swim) rendered(t testing.TB, q Request) colour.Plane {
	t.Helper()
	p, err := New(s, 2, DefaultCache).Matte(t.Context(), q)
	require.NoError(t, err)
	return p
}

// slowlySettled is the mean by its formula, in float64, of whole mattes that do not settle.
func (s *swim) slowlySettled(t testing.TB, frame int, share float64, beside ...int) colour.Plane {
	picture := func(n int) *motion.Picture {
		p, err := motion.NewPicture(t.Context(), s.frames[n].R, 0)
		require.NoError(t, err)
		return p
	}
	flow := func(from, to int) *motion.Flow {
		f, err := motion.Between(t.Context(), picture(from), picture(to), 0)
		require.NoError(t, err)
		return f
	}
	unsettled := func(n int) colour.Plane {
		q := s.ask(n)
		q.NoSettle = true
		return s.rendered(t, q)
	}
	own := unsettled(frame)
	sum, weights := make([]float64, len(own.Pix)), make([]float64, len(own.Pix))
	for i, a := range own.Pix {
		sum[i], weights[i] = float64(a), 1
	}
	for _, n := range beside {
		to, back := flow(frame, n), flow(n, frame)
		miss, err := motion.Disagreement(t.Context(), to, back, 0)
		require.NoError(t, err)
		carried := colour.NewPlane(own.W, own.H)
		require.NoError(t, to.Carry(t.Context(), carried, unsettled(n), 0))
		for i, e := range miss.Pix {
			w := share * math.Exp(-float64(e)*float64(e))
			sum[i] += w * float64(carried.Pix[i])
			weights[i] += w
		}
	}
	out := colour.NewPlane(own.W, own.H)
	for i := range out.Pix {
		out.Pix[i] = float32(sum[i] / weights[i])
	}
	return out
}

func requireNear(t testing.TB, want, got colour.Plane, within float64, what ...any) {
	t.Helper()
	for i, v := range want.Pix {
		if math.Abs(float64(v-got.Pix[i])) > within {
			require.Failf(t, "planes differ", "%v: pixel (%d,%d) is %v, want %v", what, i%want.W, i/want.W, got.Pix[i], v)
		}
	}
}

func TestSettleIsTheMeanWithTheFramesBeside(t *testing.T) {
	s := newSwim(4)
	delete(s.frames, 3)
	s.frames[5], s.frames[6], s.frames[7] = swimFrame(5, swimWidth, swimHeight, 1), swimFrame(6, swimWidth, swimHeight, 1), swimFrame(7, swimWidth, swimHeight, 2)
	s.frames[8] = swimFrame(8, swimWidth/2, swimHeight, 2)
	for _, c := range []struct {
		name   string
		frame  int
		share  float64
		beside []int
	}{
		{"both", 5, 0.7, []int{4, 6}},
		{"the clip's start", 1, 1, []int{2}},
		{"a gap behind", 2, 1, []int{1}},
		{"a gap before", 4, 0.3, []int{5}},
		{"a cut behind", 6, 1, []int{5}},
		{"a cut before, another size behind", 7, 1, nil},
		{"the clip's end", 8, 1, nil},
	} {
		s.matte(0).Edge.Settle.Fix(c.share)
		if c.frame == 8 { // the slow mean takes sizes as they are
			requireSame(t, s.slowlySettled(t, 8, 1), s.rendered(t, s.ask(8)), c.name)
			continue
		}
		want, got := s.slowlySettled(t, c.frame, c.share, c.beside...), s.rendered(t, s.ask(c.frame))
		requireNear(t, want, got, 2e-4, c.name)
		assert.Equal(t, c.beside == nil, equalPlanes(got, s.slowlySettled(t, c.frame, 0)), "%s: it changes", c.name)
	}
}

func equalPlanes(a, b colour.Plane) bool {
	for i, v := range a.Pix {
		if v != b.Pix[i] {
			return false
		}
	}
	return true
}

// Each frame beside has its own settings, and does not settle itself.
func TestSettleReadsTheSettingsOfEachFrame(t *testing.T) {
	s := newSwim(5)
	grow := &s.matte(0).Edge.Grow
	for n, v := range map[int]float64{1: 0, 2: 2, 3: 0, 4: -1, 5: 3} {
		grow.SetKey(n, v, mask.Step)
	}
	s.matte(0).Edge.Settle.SetKey(1, 1, mask.Step)
	requireNear(t, s.slowlySettled(t, 3, 1, 2, 4), s.rendered(t, s.ask(3)), 2e-4)
}

func TestSettledRegionsAreTheWholeFrames(t *testing.T) {
	s := newSwim(3)
	s.matte(0).Edge.Settle.Fix(1)
	s.study.AddMask(s.matte(0), "about", study.Keep, study.MaskKey{Frame: 1, Inner: 3, Outer: 4, Opacity: 1, Points: []mask.Point{{X: 60, Y: 40}, {X: 260, Y: 50}, {X: 200, Y: 180}}})
	whole := s.rendered(t, s.ask(2))
	r := New(s, 2, DefaultCache)
	cut := 0
	for _, region := range []image.Rectangle{image.Rect(100, 60, 150, 100), image.Rect(0, 0, 40, 30), image.Rect(150, 110, 170, 120), image.Rect(5, 90, 315, 110)} {
		q := s.ask(2)
		q.Region = region
		p, err := r.part(t.Context(), q)
		require.NoError(t, err)
		if !p.isWhole() {
			cut++
		}
		got, err := r.Matte(t.Context(), q)
		require.NoError(t, err)
		requireSame(t, partOf(whole, region), got, region)
	}
	assert.GreaterOrEqual(t, cut, 2, "some are not taken from the whole")
}

func TestSettledBytesForAnyWorkersAndCache(t *testing.T) {
	s := newSwim(4)
	s.matte(0).Edge.Settle.Fix(0.6)
	want := s.rendered(t, s.ask(2))
	for _, workers := range []int{1, 2, 7} {
		for _, bytes := range []int{1, DefaultCache} {
			r := New(s, workers, bytes)
			for _, n := range []int{3, 2} {
				got, err := r.Matte(t.Context(), s.ask(n))
				require.NoError(t, err)
				if n == 2 {
					requireSame(t, want, got, workers, bytes)
				}
			}
		}
	}
}

// On a proxy the motion is the whole frame's, so that it is near the mean of the whole matte.
func TestSettledProxyIsNearTheWhole(t *testing.T) {
	s := newSwim(3)
	s.matte(0).Edge.Soften.Fix(0)
	s.matte(0).Edge.Despeckle.Fix(0)
	s.matte(0).Edge.Settle.Fix(1)
	whole := s.rendered(t, s.ask(2))
	var want colour.Plane
	require.NoError(t, shrink(t.Context(), &want, whole, 2, 1))
	q := s.ask(2)
	q.Factor = 2
	got := s.rendered(t, q)
	q.NoSettle = true
	off, unsettled := 0., 0.
	for i, v := range s.rendered(t, q).Pix {
		off += math.Abs(float64(got.Pix[i] - want.Pix[i]))
		unsettled += math.Abs(float64(v - want.Pix[i]))
	}
	assert.Less(t, off, unsettled/2, "%v of %v", off, unsettled)
	q.NoSettle, q.Region = false, image.Rect(100, 60, 150, 100)
	requireSame(t, partOf(got, image.Rect(50, 30, 75, 50)), s.rendered(t, q))
}

// What settles does not reach into a drop mask, also where there is none on the frames beside;
// it may reach past a keep mask.
func TestDropMasksBoundWhatSettles(t *testing.T) {
	s := newSwim(3)
	m := s.matte(0)
	m.Edge.Settle.Fix(1)
	square := []mask.Point{{X: 110, Y: 90}, {X: 150, Y: 90}, {X: 150, Y: 130}, {X: 110, Y: 130}}
	drop := s.study.AddMask(m, "hand", study.Drop, study.MaskKey{Frame: 1, Opacity: 1, Points: square})
	drop.In, drop.Out = study.Bound{Frame: 2, Set: true}, study.Bound{Frame: 2, Set: true}
	got := s.rendered(t, s.ask(2))
	for y := 91; y < 129; y++ {
		for x := 111; x < 149; x++ {
			require.Zero(t, got.At(x, y), "(%d,%d)", x, y)
		}
	}
	assert.Greater(t, got.At(160, 110), float32(0.5))
	*s.study.Mattes[0].Mask(drop.ID) = study.Mask{ID: drop.ID, Name: "figure", Kind: study.Keep, Track: drop.Track}
	keep := s.study.Mattes[0].Mask(drop.ID)
	keep.In, keep.Out = study.Bound{Frame: 1, Set: true}, study.Bound{Frame: 1, Set: true}
	assert.Greater(t, s.rendered(t, s.ask(2)).At(125, 108), float32(0.2), "a third of what the frame before keeps")
}

func TestSettledMattesAreTakenIn(t *testing.T) {
	s := newSwim(5)
	s.matte(0).Edge.Soften.Fix(0)
	s.study.AddMatte("other", selection.HSL)
	other := s.matte(1)
	other.Settings = s.matte(0).Clone()
	other.Edge.Settle.Fix(1)
	alone := s.ask(3)
	alone.Settings = &other.Settings
	settled := s.rendered(t, alone)
	s.matte(0).TakeIn(other.ID, study.Within)
	own := s.ask(3)
	own.NoSettle = true
	plain := s.rendered(t, Request{Study: s.study, Settings: settingsWithout(s.matte(0)), Frame: 3})
	want := colour.NewPlane(plain.W, plain.H)
	for i := range want.Pix {
		want.Pix[i] = plain.Pix[i] * settled.Pix[i]
	}
	requireSame(t, want, s.rendered(t, s.ask(3)))
	for i, v := range s.rendered(t, own).Pix {
		require.Equal(t, plain.Pix[i]*plain.Pix[i], v, "NoSettle counts for what is taken in too")
	}
	s.matte(0).Edge.Settle.Fix(0.5)
	requireNear(t, s.slowlyTaken(t), s.rendered(t, s.ask(3)), 2e-4)
}

func settingsWithout(m *study.Matte) *study.Settings {
	set := m.Clone()
	set.Joins = nil
	return &set
}

// slowlyTaken is the mean of the mattes that take in settled ones, by single steps.
func (s *swim) slowlyTaken(t *testing.T) colour.Plane {
	share := s.matte(0).Edge.Settle
	s.matte(0).Edge.Settle.Fix(0)
	defer func() { s.matte(0).Edge.Settle = share }()
	joined := map[int]colour.Plane{}
	for _, n := range []int{2, 3, 4} {
		joined[n] = s.rendered(t, s.ask(n))
	}
	picture := func(n int) *motion.Picture {
		p, err := motion.NewPicture(t.Context(), s.frames[n].R, 0)
		require.NoError(t, err)
		return p
	}
	out := colour.NewPlane(swimWidth, swimHeight)
	weights := make([]float64, len(out.Pix))
	sum := make([]float64, len(out.Pix))
	for i, a := range joined[3].Pix {
		sum[i], weights[i] = float64(a), 1
	}
	for _, n := range []int{2, 4} {
		to, err := motion.Between(t.Context(), picture(3), picture(n), 0)
		require.NoError(t, err)
		back, err := motion.Between(t.Context(), picture(n), picture(3), 0)
		require.NoError(t, err)
		miss, err := motion.Disagreement(t.Context(), to, back, 0)
		require.NoError(t, err)
		carried := colour.NewPlane(out.W, out.H)
		require.NoError(t, to.Carry(t.Context(), carried, joined[n], 0))
		for i, e := range miss.Pix {
			w := share.At(3) * math.Exp(-float64(e)*float64(e))
			sum[i] += w * float64(carried.Pix[i])
			weights[i] += w
		}
	}
	for i := range out.Pix {
		out.Pix[i] = float32(sum[i] / weights[i])
	}
	return out
}

// Without settle nothing is asked of the frames beside; with it, who goes from frame to frame
// makes each matte and each motion once.
func TestSettleMakesEachThingOnce(t *testing.T) {
	s := newSwim(6)
	r := New(s, 1, DefaultCache)
	_, err := r.Matte(t.Context(), s.ask(2))
	require.NoError(t, err)
	assert.Equal(t, 1, r.Runs()[Decode])
	assert.Zero(t, r.Runs()[FindFlow])
	s.matte(0).Edge.Settle.Fix(1)
	r = New(s, 1, DefaultCache)
	for n := 2; n <= 5; n++ {
		_, err := r.Matte(t.Context(), s.ask(n))
		require.NoError(t, err)
		r.Forget()
	}
	runs := r.Runs()
	assert.Equal(t, 6, runs[Decode])
	assert.Equal(t, 6, runs[Weigh])
	assert.Equal(t, 6, runs[Unsettled])
	assert.Equal(t, 4, runs[Settle])
	assert.Equal(t, 2*5+5, runs[FindFlow], "motions both ways, cuts")
	assert.Equal(t, 6, runs[ReadLuma])
}

func TestSettleNamesTheFrameThatCannotBeRead(t *testing.T) {
	s := newSwim(3)
	s.matte(0).Edge.Settle.Fix(1)
	_, err := New(still2{s}, 0, DefaultCache).Matte(t.Context(), s.ask(3))
	assert.ErrorContains(t, err, "render: frame 3 settles with frame 2")
}

// still2 is a swim whose second frame is damaged.
type still2 struct{ *swim }

func (s still2) Frame(ctx context.Context, n int) (*colour.Image, error) {
	if n == 2 {
		return nil, fmt.Errorf("frame 2 is damaged")
	}
	return s.swim.Frame(ctx, n)
}
