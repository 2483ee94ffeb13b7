package staging

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"halocline/app/check"
	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// The pictures are of the SUIM data set (M. J. Islam et al. 2020, "Semantic
// Segmentation of Underwater Imagery: Dataset and Benchmark", IROS): divers and
// swimmers over sand. Trimaps of bare skin were labelled by hand as polygons by
// eye, 255 certainly skin, 0 certainly not, 128 left out.
var realPictures = []string{"d_r_195_", "d_r_196_", "d_r_312_", "n_l_49_"}

// A labelled is a picture with its labels and sampled areas.
type labelled struct {
	name        string
	raw, smooth *colour.Image
	label       colour.Plane
	keep, drop  []render.Area
}

func openData(t *testing.T) string {
	folder := os.Getenv("HALOCLINE_DATA")
	if folder == "" {
		t.Skip("HALOCLINE_DATA not set")
	}
	return filepath.Join(folder, "underwater")
}

func readReal(t *testing.T, folder, name string) *labelled {
	raw, _, err := clip.Read(t.Context(), filepath.Join(folder, name+".jpg"))
	require.NoError(t, err)
	s := &labelled{name: name, raw: raw, smooth: new(colour.Image)}
	require.NoError(t, colour.SmoothNoise(t.Context(), s.smooth, raw, colour.Noise(raw), 0))
	s.label, _, err = clip.ReadGrey(t.Context(), filepath.Join(folder, name+".skin.png"))
	require.NoError(t, err)
	for _, m := range []struct {
		ending string
		to     *[]render.Area
	}{{".keep.png", &s.keep}, {".drop.png", &s.drop}} {
		mask, _, err := clip.ReadGrey(t.Context(), filepath.Join(folder, name+m.ending))
		require.NoError(t, err)
		*m.to, _ = render.Areas(mask)
	}
	return s
}

func (s *labelled) dabs() []selection.Dab {
	return append(render.MaskSamples(s.smooth, s.keep, true), render.MaskSamples(s.smooth, s.drop, false)...)
}

// truth returns the label as a true matte, and where it is unknown.
func (s *labelled) truth() (truth, unknown colour.Plane) {
	truth, unknown = colour.NewPlane(s.label.W, s.label.H), colour.NewPlane(s.label.W, s.label.H)
	for i, v := range s.label.Pix {
		switch {
		case v > 0.9:
			truth.Pix[i] = 1
		case v >= 0.1:
			unknown.Pix[i] = 1
		}
	}
	return truth, unknown
}

// figures of a matte against the label, unknown left out.
type figures struct{ accuracy, iou float64 }

func (s *labelled) score(t *testing.T, matte colour.Plane) figures {
	truth, unknown := s.truth()
	scores, err := check.Score(t.Context(), matte, truth, &unknown)
	require.NoError(t, err)
	return figures{*scores.BalancedAccuracy, *scores.IoU}
}

func (s *labelled) scorePick(t *testing.T, p selection.Pick) figures {
	var w selection.Weigher
	w.Set(p)
	var matte colour.Plane
	var codes selection.Codes
	require.NoError(t, codes.Convert(t.Context(), s.smooth, p, 0))
	require.NoError(t, w.Matte(t.Context(), &matte, &codes, 0))
	return s.score(t, matte)
}

// scoreFisher is the plain rival: Fisher's linear discriminant in CIELAB on the
// same discs, pixel by pixel as they come, cut half way between the means.
func (s *labelled) scoreFisher(t *testing.T) figures {
	lab := func(i int) []float64 {
		c := colour.RGB{R: float64(s.raw.R.Pix[i]), G: float64(s.raw.G.Pix[i]), B: float64(s.raw.B.Pix[i])}.Lab()
		return []float64{c.L, c.A, c.B}
	}
	mean := [2]*mat.VecDense{mat.NewVecDense(3, nil), mat.NewVecDense(3, nil)}
	spread := mat.NewSymDense(3, nil)
	for kind, areas := range [][]render.Area{s.drop, s.keep} {
		n := 0.0
		for _, a := range areas {
			for _, i := range a.Pixels {
				mean[kind].AddVec(mean[kind], mat.NewVecDense(3, lab(i)))
				n++
			}
		}
		mean[kind].ScaleVec(1/n, mean[kind])
		for _, a := range areas {
			for _, i := range a.Pixels {
				d := mat.NewVecDense(3, lab(i))
				d.SubVec(d, mean[kind])
				spread.SymRankOne(spread, 1, d)
			}
		}
	}
	var between, normal, middle mat.VecDense
	between.SubVec(mean[1], mean[0])
	require.NoError(t, normal.SolveVec(spread, &between))
	middle.AddVec(mean[0], mean[1])
	middle.ScaleVec(0.5, &middle)
	cut := mat.Dot(&normal, &middle)
	matte := colour.NewPlane(s.raw.Size())
	for i := range matte.Pix {
		if mat.Dot(&normal, mat.NewVecDense(3, lab(i))) > cut {
			matte.Pix[i] = 1
		}
	}
	return s.score(t, matte)
}

// redraw returns the picture with other discs, at random within the labels.
func (s *labelled) redraw(rng *rand.Rand) *labelled {
	out := *s
	radius := int(math.Round(s.keep[0].Radius))
	out.keep = s.randomDiscs(rng, len(s.keep), radius, func(v float32) bool { return v > 0.9 })
	out.drop = s.randomDiscs(rng, len(s.drop), radius, func(v float32) bool { return v < 0.1 })
	return &out
}

func (s *labelled) randomDiscs(rng *rand.Rand, n, radius int, is func(float32) bool) (out []render.Area) {
	w, h := s.label.W, s.label.H
	for len(out) < n {
		cx, cy := rng.IntN(w), rng.IntN(h)
		var a render.Area
		for y := cy - radius; y <= cy+radius; y++ {
			for x := cx - radius; x <= cx+radius; x++ {
				if (x-cx)*(x-cx)+(y-cy)*(y-cy) > radius*radius {
					continue
				}
				if x < 0 || y < 0 || x >= w || y >= h || !is(s.label.At(x, y)) {
					a.Pixels = nil
					y = h + radius
					break
				}
				a.Pixels = append(a.Pixels, y*w+x)
			}
		}
		if len(a.Pixels) > 0 {
			out = append(out, a)
		}
	}
	return out
}

// mislabel swaps 5 % of the pixels between keep and drop dabs.
func mislabel(rng *rand.Rand, dabs []selection.Dab) []selection.Dab {
	out := make([]selection.Dab, len(dabs))
	var kept, dropped []*colour.RGB
	for i, d := range dabs {
		out[i] = selection.Dab{Keep: d.Keep, Colours: append([]colour.RGB(nil), d.Colours...)}
		for j := range out[i].Colours {
			if rng.Float64() >= 0.05 {
				continue
			}
			if d.Keep {
				kept = append(kept, &out[i].Colours[j])
			} else {
				dropped = append(dropped, &out[i].Colours[j])
			}
		}
	}
	for i := range min(len(kept), len(dropped)) {
		*kept[i], *dropped[i] = *dropped[i], *kept[i]
	}
	return out
}

// totals adds up figures and prints their mean.
type totals struct {
	sum figures
	n   float64
}

func (m *totals) add(f figures) figures {
	m.sum.accuracy += f.accuracy
	m.sum.iou += f.iou
	m.n++
	return f
}

func (m *totals) mean() figures { return figures{m.sum.accuracy / m.n, m.sum.iou / m.n} }

func (f figures) String() string { return fmt.Sprintf("%.3f / %.3f", f.accuracy, f.iou) }

func mustFit(t *testing.T, dabs []selection.Dab, m selection.Model) selection.Pick {
	f, err := selection.Fit(dabs, m)
	require.NoError(t, err)
	return f.Pick
}

func TestFitKeepsSkinOnRealPictures(t *testing.T) {
	folder := openData(t)
	var fisher, lch, hsl, auto, wrong totals
	t.Log("balanced accuracy / soft IoU: Fisher in Lab | LCh | HSL | auto | LCh, 5 % wrong labels")
	rng := rand.New(rand.NewPCG(5, 5))
	for _, name := range realPictures {
		s := readReal(t, folder, name)
		dabs := s.dabs()
		chosen, err := selection.FitAuto(dabs)
		require.NoError(t, err)
		t.Logf("%-9s %v | %v | %v | %v | %v", name, fisher.add(s.scoreFisher(t)),
			lch.add(s.scorePick(t, mustFit(t, dabs, selection.LCh))),
			hsl.add(s.scorePick(t, mustFit(t, dabs, selection.HSL))),
			auto.add(s.scorePick(t, chosen.Pick)),
			wrong.add(s.scorePick(t, mustFit(t, mislabel(rng, dabs), selection.LCh))))
	}
	t.Logf("%-9s %v | %v | %v | %v | %v", "mean", fisher.mean(), lch.mean(), hsl.mean(), auto.mean(), wrong.mean())
	require.GreaterOrEqual(t, lch.mean().accuracy, 0.84)
	require.GreaterOrEqual(t, hsl.mean().accuracy, 0.75)
	require.Greater(t, lch.mean().iou, fisher.mean().iou)
	require.GreaterOrEqual(t, wrong.mean().accuracy, lch.mean().accuracy-0.02)
}

func TestFitKeepsSkinFromDiscsElsewhere(t *testing.T) {
	folder := openData(t)
	var fisher, lch, hsl, auto, wrong totals
	t.Log("8 draws of discs a picture, balanced accuracy / soft IoU: Fisher in Lab | LCh | HSL | auto | LCh, 5 % wrong labels")
	for k, name := range realPictures {
		s := readReal(t, folder, name)
		rng := rand.New(rand.NewPCG(8, uint64(k)))
		for range 8 {
			d := s.redraw(rng)
			dabs := d.dabs()
			chosen, err := selection.FitAuto(dabs)
			require.NoError(t, err)
			fisher.add(d.scoreFisher(t))
			lch.add(d.scorePick(t, mustFit(t, dabs, selection.LCh)))
			hsl.add(d.scorePick(t, mustFit(t, dabs, selection.HSL)))
			auto.add(d.scorePick(t, chosen.Pick))
			wrong.add(d.scorePick(t, mustFit(t, mislabel(rng, dabs), selection.LCh)))
		}
	}
	t.Logf("mean      %v | %v | %v | %v | %v", fisher.mean(), lch.mean(), hsl.mean(), auto.mean(), wrong.mean())
	require.GreaterOrEqual(t, lch.mean().accuracy, fisher.mean().accuracy)
	require.GreaterOrEqual(t, lch.mean().iou, fisher.mean().iou)
	require.GreaterOrEqual(t, wrong.mean().accuracy, lch.mean().accuracy-0.02)
}

// On real pictures the mask is drawn about the label of bare skin.
func TestPickAndMaskOnRealPictures(t *testing.T) {
	folder := openData(t)
	var mean threeWays
	t.Log("skin IoU: mask alone, pick alone, both")
	for _, name := range realPictures {
		s := readReal(t, folder, name)
		truth, unknown := s.truth()
		doc := study.New(study.Clip{Path: name, Count: 1, Noise: colour.Noise(s.raw)})
		m := doc.AddMatte("skin", selection.LCh)
		m.Pick = study.ConstantPick(mustFit(t, s.dabs(), selection.LCh), true)
		maskAll(doc, m, truth, 0)
		f := scoreWays(t, render.New(stillSource{s.raw}, 0, render.DefaultCache), render.Request{Study: doc, Settings: &m.Settings}, truth, &unknown)
		t.Logf("%-9s %.3f %.3f %.3f", name, f.mask, f.pick, f.both)
		assert.Greater(t, f.both, f.mask, name)
		assert.Greater(t, f.both, f.pick, name)
		mean = mean.plus(f, 1/float64(len(realPictures)))
	}
	t.Logf("mean      %.3f %.3f %.3f", mean.mask, mean.pick, mean.both)
}

// A stillSource is a clip of one picture in memory.
type stillSource struct{ picture *colour.Image }

func (s stillSource) Frame(context.Context, int) (*colour.Image, error) { return s.picture, nil }
