package render

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

var (
	warm  = colour.CDL{Slope: [3]float64{1.2, 1, 0.85}, Offset: [3]float64{0.02, 0, 0}, Power: [3]float64{0.9, 0.95, 1}, Saturation: 1.2}
	sober = colour.CDL{Slope: [3]float64{0.9, 0.95, 1.1}, Offset: [3]float64{0, 0.01, 0}, Power: [3]float64{1.1, 1, 1}, Saturation: 0.7}
)

// trialFixture is the scene with a second matte that overlaps the first, both with
// a trial.
func trialFixture(t testing.TB, w, h int) *fixture {
	s := newFixture(t, w, h)
	blob := s.study.AddMatte("blob", selection.LCh)
	s.study.AddMask(blob, "round", study.Keep, s.blob(w/2, h/2, 0.2, 16))
	require.NoError(t, s.matte().Trial.SetCDL(1, warm))
	require.NoError(t, blob.Trial.SetCDL(1, sober))
	return s
}

func (s *fixture) blobMatte() *study.Matte { return &s.study.Mattes[1] }

func (s *fixture) trial(t *testing.T, r *Renderer, hidden ...int) *colour.Image {
	m, err := r.Trial(t.Context(), Request{Study: s.study, Frame: 1, Hidden: hidden})
	require.NoError(t, err)
	return m
}

func (s *fixture) mattes(t *testing.T, r *Renderer) (all []colour.Plane) {
	for i := range s.study.Mattes {
		m, err := r.Matte(t.Context(), Request{Study: s.study, Settings: &s.study.Mattes[i].Settings, Frame: 1})
		require.NoError(t, err)
		all = append(all, m)
	}
	return all
}

// over is one grade through a matte, as the formula says it.
func over(c colour.RGB, alpha float64, d colour.CDL) colour.RGB {
	g := d.Colour(c)
	return colour.RGB{R: c.R + alpha*(g.R-c.R), G: c.G + alpha*(g.G-c.G), B: c.B + alpha*(g.B-c.B)}
}

func TestTrialIsThePlainFormula(t *testing.T) {
	s := trialFixture(t, 320, 180)
	r := New(s, 2, DefaultCache)
	shown, err := r.Shown(t.Context(), s.request())
	require.NoError(t, err)
	mattes := s.mattes(t, r)
	graded := s.trial(t, r)
	var outside, both int
	for y := range 180 {
		for x := range 320 {
			skin, blob := float64(mattes[0].At(x, y)), float64(mattes[1].At(x, y))
			want, got := over(over(shown.RGB(x, y), skin, warm), blob, sober), graded.RGB(x, y)
			require.InDelta(t, want.R, got.R, 2e-6, "(%d,%d)", x, y)
			require.InDelta(t, want.G, got.G, 2e-6, "(%d,%d)", x, y)
			require.InDelta(t, want.B, got.B, 2e-6, "(%d,%d)", x, y)
			switch {
			case skin == 0 && blob == 0:
				outside++
				require.Equal(t, shown.RGB(x, y), got, "outside all mattes")
			case skin > 0 && blob > 0:
				both++
			}
		}
	}
	assert.NotZero(t, outside)
	assert.NotZero(t, both)
}

func TestTrialLeavesOutWhatIsOffNeutralOrHidden(t *testing.T) {
	s := trialFixture(t, 320, 180)
	r := New(s, 2, DefaultCache)
	all := s.trial(t, r)
	skin, blob := s.matte(), s.blobMatte()
	alone, err := r.TrialAlone(t.Context(), s.request())
	require.NoError(t, err)
	without := s.trial(t, r, blob.ID)
	assert.Equal(t, alone, without)
	assert.NotEqual(t, all, without)

	blob.Trial.Off = true
	assert.Equal(t, alone, s.trial(t, r))
	blob.Trial = study.NewSettings(selection.LCh).Trial
	assert.Equal(t, alone, s.trial(t, r))
	shown, err := r.Shown(t.Context(), s.request())
	require.NoError(t, err)
	assert.Same(t, shown, s.trial(t, r, skin.ID))
}

func TestTrialFollowsTheOrderOfMattes(t *testing.T) {
	s := trialFixture(t, 320, 180)
	r := New(s, 2, DefaultCache)
	before := s.trial(t, r)
	s.study.Mattes[0], s.study.Mattes[1] = s.study.Mattes[1], s.study.Mattes[0]
	assert.NotEqual(t, before, s.trial(t, r))
}

// A part of a frame has the bits that it has in the whole.
func TestTrialOfARegion(t *testing.T) {
	s := trialFixture(t, 960, 540)
	s.setEdge(selection.Edge{Despeckle: 4, About: 0.5, Soften: 2})
	r, other := New(s, 2, DefaultCache), New(s, 1, DefaultCache)
	whole := s.trial(t, r)
	region := image.Rect(410, 200, 530, 310)
	for _, settings := range []*study.Settings{nil, &s.matte().Settings} {
		part, err := other.Trial(t.Context(), Request{Study: s.study, Settings: settings, Frame: 1, Region: region})
		require.NoError(t, err)
		for c, p := range planesOf(part) {
			requireSame(t, partOf(planesOf(whole)[c], region), p)
		}
	}
}

func TestTrialOfAProxyIsNearTheWhole(t *testing.T) {
	s := trialFixture(t, 960, 540)
	r := New(s, 2, DefaultCache)
	whole := s.trial(t, r)
	for _, draft := range []bool{false, true} {
		small, err := r.Trial(t.Context(), Request{Study: s.study, Frame: 1, Factor: 4, Draft: draft})
		require.NoError(t, err)
		var shrunk colour.Image
		require.NoError(t, shrinkImage(t.Context(), &shrunk, whole, 4, nil, 1))
		w, h := small.Size()
		require.Equal(t, [2]int{240, 135}, [2]int{w, h})
		var sum float64
		for i, v := range small.R.Pix {
			sum += max(float64(v-shrunk.R.Pix[i]), float64(shrunk.R.Pix[i]-v))
		}
		assert.Less(t, sum/float64(w*h), 0.004, "draft %t", draft)
	}
}

// A pick reads no trial, and a change of a trial alone grades again, no more.
func TestMattesDoNotReadTrials(t *testing.T) {
	s := trialFixture(t, 320, 180)
	r := New(s, 2, DefaultCache)
	s.trial(t, r)
	before, runs := s.mattes(t, r), r.Runs()
	strong := warm
	strong.Slope[0] = 3
	require.NoError(t, s.matte().Trial.SetCDL(1, strong))
	s.trial(t, r)
	after := r.Runs()
	assert.Equal(t, runs[Grade]+1, after[Grade])
	s.trial(t, r)
	after[Grade]--
	assert.Equal(t, runs, after, "and a picture that is kept is not made again")
	fresh := New(s, 2, DefaultCache)
	s.trial(t, fresh)
	for i, m := range s.mattes(t, fresh) {
		requireSame(t, before[i], m)
	}
}

func TestTrialIsTheSameForAnyNumberOfWorkers(t *testing.T) {
	s := trialFixture(t, 320, 180)
	s.addMasks()
	want := s.trial(t, New(s, 1, DefaultCache))
	for _, workers := range []int{2, 7} {
		got := s.trial(t, New(s, workers, DefaultCache))
		for c, p := range planesOf(want) {
			requireSame(t, p, planesOf(got)[c])
		}
	}
}
