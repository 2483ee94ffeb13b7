package staging

import (
	"fmt"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/shot"
	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/mask"
)

// displacedBy is how far a key is moved on purpose, at the scene's full size.
const displacedBy = 40

// A displacement is one key of one mask that was moved.
type displacement struct {
	mask      string
	frame     int
	direction int // eighths of a turn
	badness   float64
	place     int // among the findings, from 1; 0: not told
	says      string
	worst     string
}

// displace moves every key of the skin's masks by itself, by px in the directions,
// and looks for its frame among the findings over the clip.
func displace(t *testing.T, doc *study.Study, source render.Source, px float64, directions ...int) (all []displacement) {
	t.Helper()
	frames := firstFrames(doc.Clip.Count)
	shotOf := func(doc *study.Study) *shot.Shot {
		m := &doc.Mattes[0]
		return &shot.Shot{Source: source, Study: doc, Settings: &m.Settings, Dabs: m.Dabs, Frames: frames}
	}
	whole := shotOf(doc)
	good := []shot.Frame{}
	require.NoError(t, whole.Each(t.Context(), frames, func(f shot.Frame) { good = append(good, f) }))
	for i, m := range doc.Mattes[0].Masks {
		for k, key := range m.Keys {
			for _, d := range directions {
				bad := doc.Clone()
				bad.Mattes[0].Masks[i].Keys[k].Points = displaced(key.Points, px, d)
				line := new(shot.Timeline)
				line.Update(whole)
				for _, f := range good {
					line.Add(f)
				}
				moved := shotOf(bad)
				require.NoError(t, moved.Each(t.Context(), line.Update(moved), line.Add))
				out := displacement{mask: m.Name, frame: key.Frame, direction: d, badness: line.Judged()[key.Frame-frames[0]].Badness}
				for place, w := range line.Worst(10) {
					out.worst += fmt.Sprintf("\n    %d (%.1f) %s", w.Frame, w.Badness, w.Sentence)
					if w.Frame == key.Frame {
						out.place, out.says = place+1, w.Sentence
					}
				}
				all = append(all, out)
			}
		}
	}
	return all
}

func displaced(points []mask.Point, px float64, direction int) []mask.Point {
	sin, cos := math.Sincos(float64(direction) * math.Pi / 4)
	out := make([]mask.Point, len(points))
	for i, p := range points {
		out[i] = mask.Point{X: p.X + px*cos, Y: p.Y + px*sin}
	}
	return out
}

// found is the share of displacements that are among the worst three frames.
func found(t *testing.T, all []displacement) float64 {
	t.Helper()
	hits := 0
	for _, d := range all {
		if d.place >= 1 && d.place <= 3 {
			hits++
			continue
		}
		t.Logf("missed: %+v", d)
	}
	t.Logf("%d of %d displaced keys are among the worst three frames", hits, len(all))
	return float64(hits) / float64(len(all))
}

// A key that was set wrong on purpose is among the worst three frames of a clip,
// without a truth: always at a small size over few frames, mostly on whole clips at
// full size, where HALOCLINE_ALL is set, which takes long.
func TestDisplacedKeyIsFound(t *testing.T) {
	if testing.Short() {
		t.Skip("frames over time")
	}
	for _, c := range displacedCases() {
		take, err := begin(t.Context(), t.TempDir(), c.seed, c.w, c.h)
		require.NoError(t, err)
		require.NoError(t, take.record(t.Context(), firstFrames(c.frames)))
		require.NoError(t, take.composeClip(t.Context()))
		source, err := clip.OpenSequence(take.FramePath())
		require.NoError(t, err)
		px := displacedBy * float64(c.w) / scene.Width
		all := displace(t, take.Study, source, px, c.directions...)
		t.Logf("seed %d, %d frames of %d x %d, keys moved by %.0f px", c.seed, c.frames, c.w, c.h, px)
		assert.GreaterOrEqual(t, found(t, all), c.share, "seed %d", c.seed)
	}
}

type displacedCase struct {
	seed       int
	w, h       int
	frames     int
	directions []int
	share      float64
}

func displacedCases() (cases []displacedCase) {
	if os.Getenv("HALOCLINE_ALL") == "" {
		return []displacedCase{{1, 320, 180, 12, []int{3}, 1}}
	}
	// Of the studies that the sample verb makes, 42 and 37 of 48 were found on whole
	// clips of seeds 1 and 2. What is missed is moved to where the pick finds as much,
	// or is told at a neighbour's key or a few frames beside its own.
	for seed := 1; seed <= 5; seed++ {
		cases = append(cases, displacedCase{seed, scene.Width, scene.Height, scene.Frames, []int{0, 2, 4, 6}, 0.75})
	}
	return cases
}
