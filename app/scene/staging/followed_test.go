package staging

import (
	"context"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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

// Masks between keys: straight, or with the picture's motion, with and without edge search.
func TestFollowedMasksStayOnTheSubject(t *testing.T) {
	if os.Getenv("HALOCLINE_FOLLOW") == "" {
		t.Skip("takes minutes: HALOCLINE_FOLLOW=seeds,frames")
	}
	var seeds, count int
	_, err := fmt.Sscanf(os.Getenv("HALOCLINE_FOLLOW"), "%d,%d", &seeds, &count)
	require.NoError(t, err)
	w, h := 1280, 720
	if s := os.Getenv("HALOCLINE_LINES"); s != "" {
		h, _ = strconv.Atoi(s)
		w = h * 16 / 9
	}
	whole := func(f *scene.Frame) colour.Plane { return f.Swimmer }
	for seed := 1; seed <= seeds; seed++ {
		f := filmOf(t, seed, w, h, count)
		for _, every := range []int{12, 24} {
			keys := handKeys(t, f, whole, every)
			s := study.New(study.Clip{Path: "x", First: 1, Count: count, Noise: colour.Noise(f.frames[1].Image)})
			for _, way := range []string{"hand", "straight", "straight+edge", "follow", "follow+edge"} {
				set := study.NewSettings(selection.LCh)
				track := mask.Track{Keys: append([]study.MaskKey{}, keys...)}
				switch way {
				case "straight+edge", "follow+edge":
					track.Search = searchDepth
				}
				if way == "follow" || way == "follow+edge" {
					for i := range track.Keys {
						track.Keys[i].Way = mask.Follow
					}
				}
				if way == "hand" {
					track.Keys = handKeys(t, f, whole, 1)
				}
				set.Masks = []study.Mask{{ID: 1, Kind: study.Keep, Track: track}}
				r := render.New(f, 0, render.DefaultCache)
				sum, least, at := 0., 1., 0
				var conf, ious []float64
				for n := 1; n <= count; n++ {
					q := render.Request{Study: s, Settings: &set, Frame: n}
					m, err := r.Mask(t.Context(), q)
					require.NoError(t, err)
					iou := iouOf(t, m, whole(f.frames[n]), nil)
					sum += iou
					if iou < least {
						least, at = iou, n
					}
					if way == "follow+edge" {
						o, err := r.Outlines(t.Context(), q)
						require.NoError(t, err)
						conf, ious = append(conf, o[0].Confidence), append(ious, iou)
					}
				}
				t.Logf("seed %d every %d %-14s mean %.3f least %.3f at %d", seed, every, way, sum/float64(count), least, at)
				if way == "follow+edge" {
					for i := range conf {
						if i%4 == 0 {
							t.Logf("  frame %d confidence %.3f iou %.3f", i+1, conf[i], ious[i])
						}
					}
				}
			}
		}
	}
	assert.True(t, true)
}
