package staging

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/shot"
	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A biteCase is a mask and what is to be kept in it.
type biteCase struct {
	name        string
	whole       bool // all of the volunteer is kept, else the skin
	aboutWhole  bool // the mask goes about all of the volunteer
	dropsInside bool // there are dabs to drop on the clothes
}

var biteCases = []biteCase{
	{name: "skin, a mask about it", dropsInside: true},
	{name: "skin, a mask about all, none to drop in it", aboutWhole: true},
	{name: "skin, a mask about all", aboutWhole: true, dropsInside: true},
	{name: "all, a mask about it", whole: true, aboutWhole: true},
}

// dabsFor draws n dabs to keep of each thing that is kept, and n to drop on each other.
func (c biteCase) dabsFor(t *testing.T, f *scene.Frame, n, seed int) (dabs []study.Dab) {
	skin, err := f.Dabs(scene.Skin, seed)
	require.NoError(t, err)
	dressed := *f
	dressed.Skin = without(f.Swimmer, f.Skin)
	clothes, err := dressed.Dabs(scene.Skin, seed)
	require.NoError(t, err)
	keep, drop := skin.Keep[:n:n], []scene.Disc(nil)
	for i, d := range skin.Drop {
		if i < 3*n && f.Swimmer.At(int(d.X), int(d.Y)) < 0.5 {
			drop = append(drop, d)
		}
	}
	if c.whole {
		keep = append(keep, clothes.Keep[:n]...)
	}
	if c.dropsInside {
		drop = append(drop, clothes.Keep[:n]...)
	}
	for kind, discs := range map[study.Kind][]scene.Disc{study.Keep: keep, study.Drop: drop} {
		for _, d := range discs {
			dabs = append(dabs, study.Dab{Frame: 1, X: d.X, Y: d.Y, Radius: d.Radius, Kind: kind})
		}
	}
	return dabs
}

// A bitten is whether a bite was told, and what the pick gained over the mask alone, of IoU.
type bitten struct {
	told bool
	gain float64
}

// bite fits a pick to dabs in masks that are led to the edge, and asks whether it bites.
func (c biteCase) bite(t *testing.T, take *Take, shapes []mask.Shape, dabs []study.Dab) bitten {
	m := &study.Matte{Settings: study.NewSettings(selection.LCh), Dabs: dabs}
	samples, err := take.Renderer.DabSamples(t.Context(), take.Study, m)
	require.NoError(t, err)
	fitted, err := selection.FitAuto(samples)
	require.NoError(t, err)
	m.Pick.TakeFit(fitted.Pick)
	for i, s := range shapes {
		key := study.MaskKey{Frame: 1, Points: s.Points, Opacity: 1}
		m.Masks = append(m.Masks, study.Mask{ID: 1000 + i, Kind: study.Keep, Track: mask.Track{Search: searchDepth, Keys: []study.MaskKey{key}}})
	}
	q := render.Request{Study: take.Study, Settings: &m.Settings, Frame: 1}
	b, err := shot.BiteOf(t.Context(), take.Renderer, q, samples)
	require.NoError(t, err)
	iou := func(of func(q render.Request) (colour.Plane, error)) float64 {
		p, err := of(q)
		require.NoError(t, err)
		truth := take.Frame.Skin
		if c.whole {
			truth = take.Frame.Swimmer
		}
		return iouOf(t, p, truth, nil)
	}
	matte := iou(func(q render.Request) (colour.Plane, error) { return take.Renderer.Matte(t.Context(), q) })
	alone := iou(func(q render.Request) (colour.Plane, error) { return take.Renderer.Mask(t.Context(), q) })
	return bitten{b.Bites(), matte - alone}
}

// Picks that make the matte worse than its mask are told, others are not. HALOCLINE_BITE=11,20
// names the scenes, with three draws of 1 to 3 dabs each; else a few are tried.
func TestPicksThatBiteAreTold(t *testing.T) {
	if testing.Short() {
		t.Skip("frames at full size")
	}
	from, to, most, draws := 1, 1, 2, 1
	cases := biteCases[2:]
	if named := os.Getenv("HALOCLINE_BITE"); named != "" {
		_, err := fmt.Sscanf(named, "%d,%d", &from, &to)
		require.NoError(t, err)
		cases, most, draws = biteCases, 3, 3
	}
	told, right, costly, found := 0, 0, 0, 0
	for seed := from; seed <= to; seed++ {
		_, take := stillOf(t, seed)
		for _, c := range cases {
			about := take.Frame.Skin
			if c.aboutWhole {
				about = take.Frame.Swimmer
			}
			shapes := lazyOutlines(t, about, uint64(seed))
			wrong, of := 0, 0
			for n := 1; n <= most; n++ {
				for draw := range draws {
					b := c.bite(t, take, shapes, c.dabsFor(t, take.Frame, n, seed*100+draw))
					of++
					if b.told {
						told++
						if b.gain < 0 {
							right++
						} else {
							wrong++
						}
					}
					if b.gain < -0.05 {
						costly++
						if b.told {
							found++
						}
					}
				}
			}
			t.Logf("seed %d, %s: %d of %d wrongly told", seed, c.name, wrong, of)
		}
	}
	t.Logf("told %d, rightly %d; found %d of %d that cost more than .05", told, right, found, costly)
	require.NotZero(t, told)
	assert.GreaterOrEqual(t, float64(right), 0.9*float64(told))
	assert.GreaterOrEqual(t, float64(found), 0.3*float64(costly))
}
