package staging

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// searchDepth is the depth of edge search that the window gives new masks, in pixels.
const searchDepth = 24

// A lazyScore is what lazily drawn masks are worth: IoU of the masks as drawn, eroded by 8
// pixels, times the pick, led to the edge, and led to it times the pick, and led to it with up to mendingDabs dabs to drop in what was wrongly kept.
type lazyScore struct{ alone, eroded, both, found, foundBoth, mended float64 }

func (a lazyScore) plus(b lazyScore, share float64) lazyScore {
	return lazyScore{a.alone + b.alone*share, a.eroded + b.eroded*share, a.both + b.both*share, a.found + b.found*share, a.foundBoth + b.foundBoth*share, a.mended + b.mended*share}
}

func (a lazyScore) String() string {
	return fmt.Sprintf("alone %.3f eroded %.3f times pick %.3f found %.3f found times pick %.3f mended %.3f", a.alone, a.eroded, a.both, a.found, a.foundBoth, a.mended)
}

// mendingDabs is how many dabs somebody makes who looks at what was found.
const mendingDabs = 2

// worstKept returns the middle of the place where a mask keeps most around it that it should
// not: the pixel deepest in it, at least 8 pixels deep.
func worstKept(m, truth colour.Plane, unknown *colour.Plane) (x, y float64, ok bool) {
	wrong := make([]bool, len(m.Pix))
	for i, v := range m.Pix {
		wrong[i] = v > 0.5 && truth.Pix[i] < 0.5 && (unknown == nil || unknown.Pix[i] == 0)
	}
	for depth := 0; ; depth++ {
		left := grownBy(wrong, m.W, m.H, -1)
		i := slices.Index(left, true)
		if i < 0 {
			at := slices.Index(wrong, true)
			return float64(at%m.W) + 0.5, float64(at/m.W) + 0.5, depth >= 8
		}
		wrong = left
	}
}

// scoreLazy scores lazy outlines in place of a matte's masks.
func scoreLazy(t *testing.T, r *render.Renderer, s *study.Study, set study.Settings, frame int, shapes []mask.Shape, truth colour.Plane, unknown *colour.Plane) (score lazyScore) {
	t.Helper()
	of := func(depth float64) (m, both colour.Plane) {
		set.Masks = nil
		for i, shape := range shapes {
			key := study.MaskKey{Frame: frame, Points: shape.Points, Opacity: 1}
			set.Masks = append(set.Masks, study.Mask{ID: 1000 + i, Kind: study.Keep, Track: mask.Track{Search: depth, Keys: []study.MaskKey{key}}})
		}
		q := render.Request{Study: s, Settings: &set, Frame: frame}
		m, err := r.Mask(t.Context(), q)
		require.NoError(t, err)
		both, err = r.Matte(t.Context(), q)
		require.NoError(t, err)
		return m, both
	}
	m, both := of(0)
	score.alone, score.both = iouOf(t, m, truth, unknown), iouOf(t, both, truth, unknown)
	score.eroded = iouOf(t, eroded(m, 8), truth, unknown)
	m, both = of(searchDepth)
	score.found, score.foundBoth = iouOf(t, m, truth, unknown), iouOf(t, both, truth, unknown)
	for range mendingDabs {
		x, y, ok := worstKept(m, truth, unknown)
		if !ok {
			break
		}
		set.MaskDabs = append(slices.Clone(set.MaskDabs), study.Dab{ID: 2000, Frame: frame, X: x, Y: y, Radius: 5, Kind: study.Drop})
		m, _ = of(searchDepth)
	}
	score.mended = iouOf(t, m, truth, unknown)
	return score
}

// Masks about the skin and about the whole volunteer, drawn lazily, are led to the edge.
func TestLazyOutlinesAreLedToTheEdge(t *testing.T) {
	seeds := 1
	if os.Getenv("HALOCLINE_ALL") != "" {
		seeds = 20
	}
	scores := make([][2]lazyScore, seeds)
	eachSeed(t, seeds, func(t *testing.T, seed int) {
		_, take := stillOf(t, seed)
		frame := take.Study.Clip.First
		set := take.Study.Mattes[0].Settings
		s := scoreLazy(t, take.Renderer, take.Study, set, frame, lazyOutlines(t, take.Frame.Skin, uint64(seed)), take.Frame.Skin, nil)
		for c := range set.Pick.Limits {
			set.Pick.Limits[c].Off = true
		}
		w := scoreLazy(t, take.Renderer, take.Study, set, frame, lazyOutlines(t, take.Frame.Swimmer, uint64(seed)), take.Frame.Swimmer, nil)
		for _, one := range []lazyScore{s, w} {
			assert.GreaterOrEqual(t, one.found, one.alone-0.02, "seed %d", seed)
		}
		scores[seed-1] = [2]lazyScore{s, w}
	})
	var skin, whole lazyScore
	for i, s := range scores {
		t.Logf("seed %2d skin %v", i+1, s[0])
		t.Logf("seed %2d whole %v", i+1, s[1])
		skin, whole = skin.plus(s[0], 1/float64(seeds)), whole.plus(s[1], 1/float64(seeds))
	}
	t.Logf("mean skin %v", skin)
	t.Logf("mean whole %v", whole)
	assert.GreaterOrEqual(t, skin.found, skin.eroded+0.08)
	assert.GreaterOrEqual(t, whole.found, whole.eroded+0.08)
	assert.GreaterOrEqual(t, skin.found, 0.85)
}

// Real pictures: see realPictures. The whole divers and swimmers are the blue class of the
// data set's own masks.
func TestLazyOutlinesOnRealPictures(t *testing.T) {
	folder := openData(t)
	for _, name := range append([]string{"n_l_42_"}, realPictures...) {
		raw, _, err := clip.Read(t.Context(), filepath.Join(folder, name+".jpg"))
		require.NoError(t, err)
		classes, _, err := clip.Read(t.Context(), filepath.Join(folder, name+".mask.png"))
		require.NoError(t, err)
		whole := colour.NewPlane(raw.Size())
		for i := range whole.Pix {
			if classes.B.Pix[i] > 0.5 && classes.R.Pix[i] < 0.5 && classes.G.Pix[i] < 0.5 {
				whole.Pix[i] = 1
			}
		}
		s := study.New(study.Clip{Path: name, First: 1, Count: 1, Noise: colour.Noise(raw)})
		set := study.NewSettings(selection.LCh)
		r := render.New(still1{raw}, 0, render.DefaultCache)
		score := func(what string, truth colour.Plane, unknown *colour.Plane) {
			one := scoreLazy(t, r, s, set, 1, lazyOutlines(t, truth, 5), truth, unknown)
			t.Logf("%s %s %v", name, what, one)
			assert.GreaterOrEqual(t, one.found, one.alone-0.02, "%s %s", name, what)
		}
		score("whole", whole, nil)
		if name != "n_l_42_" {
			truth, unknown := readReal(t, folder, name).truth()
			score("skin", truth, &unknown)
		}
	}
}

// still1 is footage of one frame.
type still1 struct{ m *colour.Image }

func (s still1) Frame(context.Context, int) (*colour.Image, error) { return s.m, nil }
