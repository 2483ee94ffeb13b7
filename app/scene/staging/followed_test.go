package staging

import (
	"context"
	"fmt"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// filmed are frames of the scene in memory, drawn when they are asked for.
type filmed struct {
	clip   *scene.Clip
	frames map[int]*scene.Frame
	count  int
}

func filmOf(t *testing.T, seed, w, h, count int) *filmed {
	c, err := scene.NewClip(t.Context(), seed, w, h)
	require.NoError(t, err)
	f := &filmed{c, map[int]*scene.Frame{}, count}
	for n := 1; n <= count; n++ {
		f.frames[n], err = c.Frame(t.Context(), n, 0)
		require.NoError(t, err)
	}
	return f
}

func (f *filmed) Has(n int) bool { return n >= 1 && n <= f.count }

func (f *filmed) Frame(_ context.Context, n int) (*colour.Image, error) {
	return f.frames[n].Image, nil
}

// handKeys draws an outline of the largest part of a truth on some frames, as a careful hand
// does: within 2 pixels, with as many vertices on each, the first of which go together.
func handKeys(t *testing.T, f *filmed, truth func(*scene.Frame) colour.Plane, every int) (keys []study.MaskKey) {
	const vertices = 40
	var before []mask.Point
	for n := 1; ; n = min(n+every, f.count) {
		p := truth(f.frames[n])
		parts := partsOf(filledOf(p), p.W, p.H)
		require.NotEmpty(t, parts, "frame %d", n)
		most, at := 0, 0
		for i, part := range parts {
			sum := 0
			for _, is := range part {
				if is {
					sum++
				}
			}
			if sum > most {
				most, at = sum, i
			}
		}
		before = turned(spaced(borderOf(parts[at], p.W, p.H), vertices), before)
		keys = append(keys, study.MaskKey{Frame: n, Points: before, Opacity: 1, Tight: true})
		if n == f.count {
			return keys
		}
	}
}

// spaced are so many points evenly along a closed line.
func spaced(line []mask.Point, n int) (out []mask.Point) {
	whole := 0.
	for i, p := range line {
		q := line[(i+1)%len(line)]
		whole += math.Hypot(q.X-p.X, q.Y-p.Y)
	}
	at := 0.
	for i, p := range line {
		q := line[(i+1)%len(line)]
		d := math.Hypot(q.X-p.X, q.Y-p.Y)
		for float64(len(out))*whole/float64(n) < at+d && len(out) < n {
			u := (float64(len(out))*whole/float64(n) - at) / d
			out = append(out, mask.Point{X: p.X + u*(q.X-p.X), Y: p.Y + u*(q.Y-p.Y)})
		}
		at += d
	}
	return out
}

// turned begins a closed line at another of its points, so that it lies nearest to one before.
func turned(line, before []mask.Point) []mask.Point {
	best, out := math.Inf(1), line
	for k := range line {
		now := append(append([]mask.Point{}, line[k:]...), line[:k]...)
		sum := 0.
		for i, p := range before {
			sum += (now[i].X-p.X)*(now[i].X-p.X) + (now[i].Y-p.Y)*(now[i].Y-p.Y)
		}
		if before == nil || sum < best {
			best, out = sum, now
			if before == nil {
				break
			}
		}
	}
	return out
}

// A way is how a mask goes from key to key.
type maskWay struct {
	name   string
	way    mask.Way
	search bool
	all    bool // keys on all frames
}

var maskWays = []maskWay{
	{name: "hand", all: true}, {name: "straight"}, {name: "straight, edge found", search: true},
	{name: "follow", way: mask.Follow}, {name: "follow, edge found", way: mask.Follow, search: true},
}

// onShot returns the IoU of a mask about the whole volunteer on each frame, and how sure it is
// of its outline.
func (w maskWay) onShot(t *testing.T, f *filmed, every int) (ious, sure []float64) {
	t.Helper()
	whole := func(f *scene.Frame) colour.Plane { return f.Swimmer }
	if w.all {
		every = 1
	}
	track := mask.Track{Keys: handKeys(t, f, whole, every)}
	if w.search {
		track.Search = searchDepth * float64(whole(f.frames[1]).H) / scene.Height
	}
	for i := range track.Keys {
		track.Keys[i].Way = w.way
	}
	s := study.New(study.Clip{Path: "filmed", First: 1, Count: f.count, Noise: colour.Noise(f.frames[1].Image)})
	set := study.NewSettings(selection.LCh)
	set.Masks = []study.Mask{{ID: 1, Kind: study.Keep, Track: track}}
	r := render.New(f, 0, render.DefaultCache)
	for n := 1; n <= f.count; n++ {
		q := render.Request{Study: s, Settings: &set, Frame: n}
		m, err := r.Mask(t.Context(), q)
		require.NoError(t, err)
		o, err := r.Outlines(t.Context(), q)
		require.NoError(t, err)
		ious, sure = append(ious, iouOf(t, m, whole(f.frames[n]), nil)), append(sure, o[0].Confidence)
	}
	return ious, sure
}

// Masks between keys: straight, or with the picture's motion, with and without edge search.
// HALOCLINE_FOLLOW=3,25 takes 25 frames of seeds 1 to 3 at full size: minutes.
func TestFollowedMasksStayOnTheSubject(t *testing.T) {
	seeds, count, w, h := 1, 13, scene.Width/2, scene.Height/2
	if text := os.Getenv("HALOCLINE_FOLLOW"); text != "" {
		_, err := fmt.Sscanf(text, "%d,%d", &seeds, &count)
		require.NoError(t, err)
		w, h = scene.Width, scene.Height
	}
	for seed := 1; seed <= seeds; seed++ {
		f := filmOf(t, seed, w, h, count)
		for every := min(12, count-1); every < count; every *= 2 {
			means := map[string]float64{}
			for _, way := range maskWays {
				ious, sure := way.onShot(t, f, every)
				means[way.name] = floats.Sum(ious) / float64(count)
				t.Logf("seed %d, keys every %d, %-20s: mean %.3f, least %.3f", seed, every, way.name, means[way.name], slices.Min(ious))
				if way.name == "follow, edge found" {
					assert.GreaterOrEqual(t, slices.Min(ious), min(ious[0], ious[count-1])-0.05, "no frame falls far under its keys")
					assert.Greater(t, slices.Min(sure), 0.6)
				}
			}
			assert.Greater(t, means["follow"], means["straight"])
			assert.Greater(t, means["follow, edge found"], means["straight, edge found"]+0.02)
			assert.Greater(t, means["follow, edge found"], means["straight"]+0.05)
		}
	}
}
