package carry

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
)

// Where the limits come from: what picks of five seeds lose when they are carried, against how far
// the light shifted. Masks take no part. It takes some minutes.
func TestWhatPicksLose(t *testing.T) {
	if os.Getenv("HALOCLINE_ALL") == "" {
		t.Skip("HALOCLINE_ALL=1 runs it")
	}
	below, beyond := map[string][]float64{}, map[string][]float64{}
	for from := 1; from <= 5; from++ {
		w := done(t, from)
		own := accuracies(t, w, from, []int{1, 2, 3})
		taken, err := Take(t.Context(), w)
		require.NoError(t, err)
		for _, c := range []struct {
			seed   int
			metres float64
		}{{1, 0}, {2, 0}, {3, 0}, {4, 0}, {5, 0}, {from, 0.25}, {from, 0.5}, {from, 1}} {
			r := to(t, taken, later(t, "later", c.seed, c.metres), Options{})
			for name, now := range accuracies(t, r.Work, c.seed, laterFrames) {
				lost, unlike := own[name]-now, r.Work.Study.MatteNamed(name).Carried.Unlike
				t.Logf("seed %d to %d, %.2f m more: shift %.2f, %s lacks %.3f of its colours and loses %+.3f", from, c.seed, c.metres, r.Shift, name, unlike, lost)
				if r.Shift > ShiftLimit {
					beyond[name] = append(beyond[name], lost)
				} else {
					below[name] = append(below[name], lost)
				}
			}
		}
	}
	for _, name := range []string{"skin", "sand"} {
		t.Logf("%s: loses %.3f in the mean of %d up to the limit, %.3f of %d beyond it", name, mean(below[name]), len(below[name]), mean(beyond[name]), len(beyond[name]))
		assert.Greater(t, mean(beyond[name]), 2*mean(below[name]), name)
	}
}

// accuracies are the balanced accuracies of a study's picks against the true mattes of frames of a
// seed, of which its clip consists.
func accuracies(t *testing.T, w *work.Work, seed int, frames []int) map[string]float64 {
	t.Helper()
	c, err := scene.NewClip(t.Context(), seed, clipW, clipH)
	require.NoError(t, err)
	out := map[string]float64{}
	for i, n := range frames {
		f, err := c.Frame(t.Context(), n, 0)
		require.NoError(t, err)
		for name, truth := range map[string]colour.Plane{"skin": f.Skin, "sand": f.Sand, "water": f.Water} {
			out[name] += accuracy(t, w, w.Study.MatteNamed(name), w.Clip.Frames()[i], truth) / float64(len(frames))
		}
	}
	return out
}

func accuracy(t *testing.T, w *work.Work, m *study.Matte, frame int, truth colour.Plane) float64 {
	t.Helper()
	pick, err := w.Renderer.Pick(t.Context(), render.Request{Study: w.Study, Settings: &m.Settings, Frame: frame})
	require.NoError(t, err)
	s, err := check.Score(t.Context(), pick, truth, nil)
	require.NoError(t, err, filepath.Base(w.Study.Clip.Path))
	return *s.BalancedAccuracy
}

func mean(of []float64) float64 {
	sum := 0.0
	for _, v := range of {
		sum += v
	}
	return sum / float64(len(of))
}
