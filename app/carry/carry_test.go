package carry

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// bands writes a sequence of frames whose left half has one colour and whose right half another.
func bands(t *testing.T, name string, w, h, first, count int, left, right color.NRGBA) string {
	t.Helper()
	folder := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.Mkdir(folder, 0o777))
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for i := range w * h {
		c := left
		if i%w >= w/2 {
			c = right
		}
		m.SetNRGBA(i%w, i/w, c)
	}
	for n := first; n < first+count; n++ {
		f, err := os.Create(filepath.Join(folder, fmt.Sprintf("%s.%04d.png", name, n)))
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, m))
		require.NoError(t, f.Close())
	}
	return folder
}

var (
	tape  = color.NRGBA{200, 160, 90, 255}
	water = color.NRGBA{40, 110, 130, 255}
)

// tapeStudy is a study of such a clip with two mattes, one of which takes the other in, and with
// keys, masks, dabs of both kinds, a proof and a dismissed flag.
func tapeStudy(t *testing.T) *work.Work {
	t.Helper()
	w, err := work.Open(t.Context(), bands(t, "first", 64, 48, 1, 4, tape, water))
	require.NoError(t, err)
	s := w.Study
	s.Clip.Rate = [2]int{24, 1}
	s.Base.Exposure.SetKey(1, 0.1, mask.Straight)
	s.Base.Exposure.SetKey(3, 0.2, mask.Straight)
	m := s.AddMatte("tape", selection.LCh)
	m.Note, m.NotExported = "the reel", true
	s.AddDab(m, study.Dab{Frame: 1, X: 10, Y: 10, Radius: 4, Kind: study.Keep})
	s.AddDab(m, study.Dab{Frame: 2, X: 50, Y: 10, Radius: 4, Kind: study.Drop})
	samples, err := w.Renderer.DabSamples(t.Context(), s, m)
	require.NoError(t, err)
	fit, err := selection.Fit(samples, selection.LCh)
	require.NoError(t, err)
	m.TakeFit(fit.Pick, 1)
	m.Edge.Soften.SetKey(2, 1, mask.Straight)
	m.Edge.Soften.SetKey(4, 3, mask.Straight)
	m.Trial.Off = true
	square := func(frame int, at float64) study.MaskKey {
		return study.MaskKey{Frame: frame, Way: mask.Follow, Opacity: 1, Inner: 2, Points: []study.Point{{X: at, Y: 4}, {X: at + 20, Y: 4}, {X: at + 20, Y: 30}}}
	}
	k := s.AddMask(m, "reel", study.Keep, square(2, 4))
	k.Keys = append(k.Keys, square(4, 9))
	k.After, k.In = mask.Follows, study.Bound{Set: true, Frame: 2}
	s.AddMaskDab(m, study.Dab{Frame: 2, X: 10, Y: 10, Radius: 4, Kind: study.Keep})
	s.KeepProof(m, "before")
	m.Dismiss(study.Dismissed{Frame: 2, Trouble: "shift", Badness: 3})
	sand := s.AddMatte("all but the tape", selection.LCh)
	sand.TakeIn(s.MatteNamed("tape").ID, study.TakeAway)
	return w
}

// What is carried, and what stays behind.
func TestWhatIsCarried(t *testing.T) {
	w := tapeStudy(t)
	taken, err := Take(t.Context(), w)
	require.NoError(t, err)
	assert.Equal(t, []string{
		"base: exposure had keys on 2 frames: its value at the last, 3, is held",
		`matte "tape": soften had keys on 2 frames: its value at the last, 4, is held`,
	}, taken.Held)
	other := bands(t, "second", 64, 48, 101, 7, tape, water)
	r := to(t, taken, other, Options{})
	s := r.Work.Study
	require.NoError(t, s.Validate())
	assert.Equal(t, 101, s.Clip.First)
	assert.Equal(t, 7, s.Clip.Count)
	assert.Equal(t, [2]int{24, 1}, s.Clip.Rate, "the camera's")
	assert.Equal(t, 0.2, s.Base.Exposure.Value)
	assert.False(t, s.Base.Exposure.Keyed())
	require.Len(t, s.Mattes, 2)
	m, old := s.MatteNamed("tape"), w.Study.MatteNamed("tape")
	assert.Equal(t, 3.0, m.Edge.Soften.Value)
	assert.Equal(t, old.Pick.Limits, m.Pick.Limits)
	assert.Equal(t, []any{"the reel", true, true, old.ID}, []any{m.Note, m.NotExported, m.Trial.Off, m.ID})
	assert.Empty(t, m.Dabs)
	assert.Empty(t, m.MaskDabs)
	assert.Empty(t, m.Masks)
	assert.Empty(t, m.Proofs)
	assert.Empty(t, m.Dismissed)
	assert.False(t, m.Pick.Fitted, "a dab of the new clip must not throw it away")
	assert.False(t, m.Carried.HandFades, "it was a fit's")
	assert.True(t, s.Mattes[1].Carried.HandFades)
	assert.Equal(t, []study.Join{{With: m.ID, How: study.TakeAway}}, s.Mattes[1].Joins)
	assert.Greater(t, s.NewID(), old.Masks[0].ID, "ids are never used again")
	assert.Less(t, r.Shift, 1.0, "exposure was lower on the first frames")
	assert.Equal(t, "second: light shifted by 0.6 dE00; all picks suit it", r.Line())
	require.Len(t, m.Carried.Dabs, 2)
	assert.Equal(t, study.Drop, m.Carried.Dabs[1].Kind)
	require.Len(t, m.Carried.Dabs[0].Colours, coloursOfDab)
	require.NotNil(t, r.Mattes[0].Unlike)
	assert.Zero(t, *r.Mattes[0].Unlike)
	assert.Nil(t, r.Mattes[1].Unlike, "it has no dabs")
	assert.Len(t, w.Study.MatteNamed("tape").Dabs, 2, "the study that is carried stays")

	again, err := Take(t.Context(), r.Work)
	require.NoError(t, err)
	third := to(t, again, bands(t, "third", 64, 48, 1, 2, tape, water), Options{})
	assert.Equal(t, m.Carried.Dabs, third.Work.Study.MatteNamed("tape").Carried.Dabs, "colours go on from clip to clip")
	assert.Equal(t, "second", third.Work.Study.Mattes[0].Carried.From)
}

// A mask comes with its first outline, on the new clip's first frame, and not to another size.
func TestMasksAreCarriedOnRequest(t *testing.T) {
	w := tapeStudy(t)
	taken, err := Take(t.Context(), w)
	require.NoError(t, err)
	r := to(t, taken, bands(t, "second", 64, 48, 101, 7, tape, water), Options{Masks: true})
	m, old := r.Work.Study.MatteNamed("tape").Masks, w.Study.MatteNamed("tape").Masks
	require.Len(t, m, 1)
	require.Len(t, m[0].Keys, 1)
	assert.Equal(t, 101, m[0].Keys[0].Frame)
	assert.Equal(t, mask.Straight, m[0].Keys[0].Way)
	assert.Equal(t, old[0].Keys[0].Points, m[0].Keys[0].Points)
	assert.Equal(t, mask.Follows, m[0].After, "it goes on with the picture, as it did")
	assert.False(t, m[0].In.Set)
	assert.Equal(t, 1, r.Mattes[0].Masks)
	assert.Len(t, old[0].Keys, 2)

	r = to(t, taken, bands(t, "small", 32, 24, 1, 2, tape, water), Options{Masks: true})
	assert.Empty(t, r.Work.Study.MatteNamed("tape").Masks)
	assert.Equal(t, []string{"small is 32 x 24 pixels and the masks were drawn on 64 x 48: they are left out"}, r.Notices)
	w.Study.MatteNamed("tape").Pick = study.NewSettings(selection.LCh).Pick
	taken, err = Take(t.Context(), w)
	require.NoError(t, err)
	r = to(t, taken, bands(t, "second", 64, 48, 101, 7, tape, water), Options{})
	assert.Equal(t, []string{`matte "tape" is made by masks alone: without them it keeps the whole frame of second`}, r.Notices)
}

// By hand: the keep dab's colour is not on the other clip, the drop dab's is.
func TestColoursThatAClipLacks(t *testing.T) {
	w := tapeStudy(t)
	w.Study.Base = study.NewBase()
	taken, err := Take(t.Context(), w)
	require.NoError(t, err)
	bluish := color.NRGBA{90, 120, 200, 255}
	r := to(t, taken, bands(t, "blue", 64, 48, 1, 2, bluish, water), Options{})
	m := r.Work.Study.MatteNamed("tape")
	assert.Equal(t, 0.5, m.Carried.Unlike)
	mid := func(a, b color.NRGBA) colour.Lab {
		x, y := lab(a), lab(b)
		return colour.Lab{L: (x.L + y.L) / 2, A: (x.A + y.A) / 2, B: (x.B + y.B) / 2}
	}
	assert.InDelta(t, mid(tape, water).DeltaE(mid(bluish, water)), r.Shift, 0.02)
	assert.True(t, m.Carried.Moved.Hue)
	assert.Contains(t, r.Line(), "to be fitted again: tape (hue")
	assert.Contains(t, r.Line(), "lacks 50 % of its colours")

	m.Pick.Limits[selection.Hue].Off = true
	assert.False(t, movedFor(m.Pick.At(1), []colour.Difference{{Hue: 9, Chroma: 0.5, Lightness: 0.5}}).Any(), "hue went, and the pick does not limit it")
	m.Pick.Limits[selection.Hue].Off = false
	moved := movedFor(m.Pick.At(1), []colour.Difference{{Hue: -9, Chroma: 5, Lightness: 4}, {Hue: 9, Chroma: -5, Lightness: 4}})
	assert.Equal(t, study.Moves{Hue: true, Chroma: !m.Pick.Limits[selection.Sat].Off}, moved)
}

// Half the red light turns a grey to blue-green: by the law its light is halved in red alone.
func TestColoursInOtherLight(t *testing.T) {
	grey := []study.CarriedDab{{Colours: [][3]uint8{{128, 128, 128}}}}
	from, to := palette{light: [3]float64{0.2, 0.2, 0.2}}, palette{light: [3]float64{0.1, 0.2, 0.2}}
	all := turned(grey, from, to)
	require.Len(t, all, 1)
	half := colour.RGB{R: colour.Encoded(colour.SRGB.Light(128.0/255) / 2), G: 128.0 / 255, B: 128.0 / 255}
	assert.InDelta(t, grey[0].RGB()[0].Lab().DeltaE(half.Lab()), all[0].Total, 1e-9)
	assert.Greater(t, all[0].Chroma, 5.0)
	from.mean, to.mean = colour.Lab{L: 50}, colour.Lab{L: 53}
	assert.InDelta(t, from.mean.DeltaE(to.mean), turned(nil, from, to)[0].Total, 1e-9, "without dabs the mean")
}

func lab(c color.NRGBA) colour.Lab {
	return colour.RGB{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255}.Lab()
}

func TestSavingWhatWasCarried(t *testing.T) {
	w := tapeStudy(t)
	folder := t.TempDir()
	w.Path = filepath.Join(folder, "first.halocline")
	require.NoError(t, study.Save(w.Path, w.Study))
	taken, err := Take(t.Context(), w)
	require.NoError(t, err)
	clip := bands(t, "second", 64, 48, 101, 7, tape, water)
	r := to(t, taken, clip, Options{})
	assert.Equal(t, filepath.Join(clip, "second.halocline"), Place(r.Work, ""))
	place := Place(r.Work, filepath.Join(folder, "new"))
	assert.Equal(t, filepath.Join(folder, "new", "second.halocline"), place)
	require.NoError(t, taken.save(t.Context(), &r, place, false))
	s, err := study.Load(place)
	require.NoError(t, err)
	assert.Equal(t, r.Work.Study.Mattes, s.Mattes)

	r.Work.Study.Base.Exposure.Fix(3)
	require.EqualError(t, taken.save(t.Context(), &r, place, false), "carry: "+place+" exists: choose another folder, or replace it (--overwrite on the command line)")
	s, err = study.Load(place)
	require.NoError(t, err)
	assert.Equal(t, 0.2, s.Base.Exposure.Value)
	require.NoError(t, taken.save(t.Context(), &r, place, true))
	require.EqualError(t, taken.save(t.Context(), &r, w.Path, true), "carry: "+w.Path+" is the study that is carried, want another place")
}

func TestWhatIsNoOtherClip(t *testing.T) {
	w := tapeStudy(t)
	w.Path = filepath.Join(t.TempDir(), "first.halocline")
	require.NoError(t, study.Save(w.Path, w.Study))
	taken, err := Take(t.Context(), w)
	require.NoError(t, err)
	_, err = taken.Open(t.Context(), w.Path)
	require.EqualError(t, err, "carry: "+w.Path+" is a study, want a picture, a movie or a folder")
	own := filepath.Dir(w.Study.Clip.Path)
	_, err = taken.Open(t.Context(), own)
	require.EqualError(t, err, "carry: "+own+" is the clip that the study is of, want another")
	_, err = taken.Open(t.Context(), filepath.Join(own, "gone"))
	require.ErrorContains(t, err, "gone")
	folder := bands(t, "second", 64, 48, 1, 3, tape, water)
	again, err := taken.Open(t.Context(), filepath.Join(folder, "second.0002.png"))
	require.NoError(t, err)
	assert.Equal(t, 3, again.Clip.Count(), "a picture stands for its sequence, where the study is of one")
}

// By hand: half of the pixels are white, half black; their mean is L* = 50, their mean light one half.
// What the palette finds is what looking at each colour would.
func TestPaletteOfTwoColours(t *testing.T) {
	m := colour.NewImage(8, 4)
	for _, p := range []colour.Plane{m.R, m.G, m.B} {
		for y := range 2 {
			for x := range p.Row(y) {
				p.Row(y)[x] = 1
			}
		}
	}
	sums := map[[3]int16]*sum{}
	addColours(sums, m)
	p := newPalette(sums)
	require.Len(t, p.cells, 2)
	assert.InDelta(t, 50, p.mean.L, 1e-3)
	assert.InDelta(t, 0.5, p.light[1], 1e-3)
	near := colour.Lab{L: 96}
	assert.True(t, p.has(near, near.DeltaE(colour.Lab{L: 100})+0.01))
	assert.False(t, p.has(near, near.DeltaE(colour.Lab{L: 100})-0.01))
	assert.InDelta(t, near.DeltaE(colour.Lab{L: 100}), p.nearest(near).Total, 1e-3)
	assert.Greater(t, p.nearest(near).Lightness, 0.0)
	assert.False(t, p.has(colour.Lab{L: 50}, Near))
}
