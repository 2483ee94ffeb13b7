package staging

import (
	"bufio"
	"compress/gzip"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/scene"
	"halocline/colour"
	"halocline/selection"
)

// A subject is what is to be told from the rest of a picture by colour, with its true
// matte: what tests of fits draw dabs on.
type subject struct {
	group, name string
	picture     *colour.Image // as a pick reads it
	truth       colour.Plane
	unknown     colour.Plane        // 1 where the truth says nothing
	codes       [2]*selection.Codes // of HSL and LCh
}

// surelyIn and surelyOut are the alpha of the truth above and below which dabs are drawn,
// and judged.
const surelyIn, surelyOut = 0.9, 0.1

func newSubject(group, name string, picture *colour.Image, label colour.Plane) *subject {
	s := &subject{group: group, name: name, picture: picture, truth: colour.NewPlane(label.W, label.H), unknown: colour.NewPlane(label.W, label.H)}
	for i, v := range label.Pix {
		switch {
		case v > surelyIn:
			s.truth.Pix[i] = 1
		case v >= surelyOut:
			s.unknown.Pix[i] = 1
		}
	}
	return s
}

// score judges a pick on the whole picture.
func (s *subject) score(t *testing.T, p selection.Pick) figures {
	t.Helper()
	codes := s.codesFor(t, p)
	var w selection.Weigher
	w.Set(p)
	var matte colour.Plane
	require.NoError(t, w.Matte(t.Context(), &matte, codes, 0))
	scores, err := check.Score(t.Context(), matte, s.truth, &s.unknown)
	require.NoError(t, err)
	return figures{*scores.BalancedAccuracy, *scores.IoU}
}

// codesFor returns the picture in a pick's coordinates, those of HSL and LCh as they were
// made before.
func (s *subject) codesFor(t *testing.T, p selection.Pick) *selection.Codes {
	t.Helper()
	kept := p.Model != selection.PlaneModel
	if kept && s.codes[p.Model] != nil {
		return s.codes[p.Model]
	}
	codes := new(selection.Codes)
	require.NoError(t, codes.Convert(t.Context(), s.picture, p, 0))
	if kept {
		s.codes[p.Model] = codes
	}
	return codes
}

// dabs draws n discs of each kind at random places, of 12 pixels or, where that finds
// none, of the next smaller radius that does.
func (s *subject) dabs(rng *rand.Rand, n int) (out []selection.Dab) {
	for _, keep := range []bool{true, false} {
		want := float32(0)
		if keep {
			want = 1
		}
		for i, radius, tries := 0, 12, 0; i < n; tries++ {
			if tries == 5000 {
				radius, tries = max(1, radius-1), 0
			}
			x, y := rng.IntN(s.truth.W), rng.IntN(s.truth.H)
			pixels := render.DiscPixels(float64(x)+0.5, float64(y)+0.5, float64(radius), s.truth.W, s.truth.H)
			if s.all(pixels, want) {
				out = append(out, render.MaskSamples(s.picture, []render.Area{{Pixels: pixels}}, keep)...)
				i++
			}
		}
	}
	return out
}

// all reports whether the truth of all pixels is want.
func (s *subject) all(pixels []int, want float32) bool {
	for _, i := range pixels {
		if s.truth.Pix[i] != want || s.unknown.Pix[i] == 1 {
			return false
		}
	}
	return true
}

// skinSubjects are the four pictures with labelled skin.
func skinSubjects(t *testing.T, folder string) (out []*subject) {
	for _, name := range realPictures {
		s := readReal(t, folder, name)
		out = append(out, newSubject("skin", name, s.smooth, s.label))
	}
	return out
}

// sampleSubjects are skin, sand and water on the frame that the window starts on.
func sampleSubjects(t *testing.T) (out []*subject) {
	take := makeStart(t)
	for i, c := range classes {
		picture, err := take.Renderer.Picked(t.Context(), take.request(i, take.Study.Clip.First))
		require.NoError(t, err)
		out = append(out, newSubject("sample", c.name, picture, map[scene.Class]colour.Plane{
			scene.Skin: take.Frame.Skin, scene.Sand: take.Frame.Sand, scene.Water: take.Frame.Water,
		}[c.class]))
	}
	return out
}

// classSubjects are what the class masks of SUIM show, by class: whole divers, sea floor and
// open water.
func classSubjects(t *testing.T, folder string) map[string][]*subject {
	out := map[string][]*subject{}
	for _, name := range append([]string{"n_l_42_"}, realPictures...) {
		raw, _, err := clip.Read(t.Context(), filepath.Join(folder, name+".jpg"))
		require.NoError(t, err)
		smooth := new(colour.Image)
		require.NoError(t, colour.SmoothNoise(t.Context(), smooth, raw, colour.Noise(raw), 0))
		classes, _, err := clip.Read(t.Context(), filepath.Join(folder, name+".mask.png"))
		require.NoError(t, err)
		for _, class := range []struct {
			name string
			rgb  [3]bool
		}{{"diver", [3]bool{false, false, true}}, {"floor", [3]bool{true, true, true}}, {"water", [3]bool{}}} {
			label := colour.NewPlane(raw.Size())
			n := 0
			for i := range label.Pix {
				if [3]bool{classes.R.Pix[i] > 0.5, classes.G.Pix[i] > 0.5, classes.B.Pix[i] > 0.5} == class.rgb {
					label.Pix[i] = 1
					n++
				}
			}
			if n > len(label.Pix)/100 && n < len(label.Pix)*99/100 {
				out[class.name] = append(out[class.name], newSubject(class.name, name, smooth, label))
			}
		}
	}
	return out
}

// tableSubject is the table of skin in air of UCI (Bhatt & Dhall 2012, Skin Segmentation),
// as a picture of its rows in their order: neighbours come from one photograph.
func tableSubject(t *testing.T, folder string) *subject {
	f, err := os.Open(filepath.Join(folder, "..", "skin-pixels", "Skin_NonSkin.txt.gz"))
	require.NoError(t, err)
	defer func() { _ = f.Close() }()
	plain, err := gzip.NewReader(f)
	require.NoError(t, err)
	var rows [][4]int
	for lines := bufio.NewScanner(plain); lines.Scan(); {
		var r [4]int
		_, err := fmt.Sscan(lines.Text(), &r[0], &r[1], &r[2], &r[3])
		require.NoError(t, err)
		rows = append(rows, r)
	}
	const w = 495
	picture, label := colour.NewImage(w, len(rows)/w), colour.NewPlane(w, len(rows)/w)
	for i := range label.Pix {
		r := rows[i]
		picture.B.Pix[i], picture.G.Pix[i], picture.R.Pix[i] = float32(r[0])/255, float32(r[1])/255, float32(r[2])/255
		if r[3] == 1 {
			label.Pix[i] = 1
		}
	}
	return newSubject("table", "skin in air", picture, label)
}
