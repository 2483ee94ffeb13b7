package staging

import (
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// scoreSand is scoreWays of a scene's sand; pick is without mask and edge.
func scoreSand(t *testing.T, take *Take) threeWays {
	m := &take.Study.Mattes[1]
	require.Equal(t, "sand", m.Name)
	return scoreWays(t, take.Renderer, render.Request{Study: take.Study, Settings: &m.Settings, Frame: take.Study.Clip.First}, take.Frame.Sand, nil)
}

// README's figures of scenes beside the first ten: 31 to 42 and 51 to 56.
func TestSandOnOtherScenes(t *testing.T) {
	if os.Getenv("HALOCLINE_ALL") == "" {
		t.Skip("HALOCLINE_ALL not set")
	}
	var before, after threeWays
	const scenes = 18
	for i := range scenes {
		seed := 31 + i
		if i >= 12 {
			seed = 51 + i - 12
		}
		take, takeBased := stillOf(t, seed)
		came, based := scoreSand(t, take), scoreSand(t, takeBased)
		t.Logf("seed %2d mask, pick, both %s; after base %s", seed, came, based)
		before, after = before.plus(came, 1./scenes), after.plus(based, 1./scenes)
	}
	t.Logf("mean    %s; after base %s", before, after)
	assert.GreaterOrEqual(t, before.both, 0.80)
	assert.GreaterOrEqual(t, after.both, 0.76)
}

func TestSeabedClearsOpenSand(t *testing.T) {
	truth := colour.NewPlane(620, 300)
	for x := range truth.W {
		top := 200 + 40*math.Sin(float64(x)/70)
		if x > 400 && x < 440 {
			top = 100
		}
		for y := int(top); y < truth.H; y++ {
			truth.Row(y)[x] = 1
		}
		if x%16 < 3 { // between leaves: what an eye does not see as open
			for y := 60; y < truth.H; y++ {
				truth.Row(y)[x] = 1
			}
		}
	}
	top := openTop(truth)
	points := lineAbove(top, truth.H)
	require.Len(t, points, seabedVertices)
	line := points[:seabedVertices-2]
	for x, y := range top {
		if y == float64(truth.H) {
			continue
		}
		for _, corner := range []mask.Point{{X: float64(x), Y: y}, {X: float64(x + 1), Y: y}} {
			require.GreaterOrEqual(t, distanceBelow(line, corner), 8.0, "open sand at %v", corner)
		}
	}
	for _, p := range line {
		require.Greater(t, p.Y, 60.0, "leaves do not raise the line")
	}
	require.Nil(t, lineAbove(openTop(colour.NewPlane(40, 20)), 20))

	s := study.New(study.Clip{Path: "frame.png", Count: 1})
	m := s.AddMatte("sand", 0)
	addSeabed(s, m, map[int][]mask.Point{0: points})
	require.Len(t, m.Masks, 1)
	require.NoError(t, s.Validate())
}

// distanceBelow is how far p lies below a line that runs from left to right,
// negative above it.
func distanceBelow(line []mask.Point, p mask.Point) float64 {
	least, side := math.Inf(1), -1.0
	for i, a := range line[:len(line)-1] {
		b := line[i+1]
		f := ((p.X-a.X)*(b.X-a.X) + (p.Y-a.Y)*(b.Y-a.Y)) / ((b.X-a.X)*(b.X-a.X) + (b.Y-a.Y)*(b.Y-a.Y))
		f = min(max(f, 0), 1)
		least = min(least, math.Hypot(a.X+f*(b.X-a.X)-p.X, a.Y+f*(b.Y-a.Y)-p.Y))
		if p.X >= a.X && p.X <= b.X && p.Y > a.Y+(b.Y-a.Y)*(p.X-a.X)/(b.X-a.X) {
			side = 1
		}
	}
	return side * least
}
