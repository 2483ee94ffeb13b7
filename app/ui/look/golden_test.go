package look

import (
	"flag"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "draw the golden pictures anew")

func TestGoldenValues(t *testing.T) {
	exposure := Spec{Label: "Exposure", Unit: "EV", Min: -4, Max: 4, Increment: 0.05, Decimals: 2, Signed: true, Tick: true}
	set, off, wrong := NewValueRow(exposure, 100, nil), NewValueRow(exposure, 100, nil), NewValueRow(metres, 100, nil)
	set.Set(2.5)
	off.Set(-0.25)
	off.Disable()
	wrong.number.setProblem("too deep")
	ringed := NewSlider(metres, nil)
	ringed.FocusGained()
	golden(t, "values", VBox(4, set, off, wrong, ringed), 332, 140)
}

func TestGoldenChoices(t *testing.T) {
	on, offOn := NewSwitch("", nil), NewSwitch("", nil)
	on.Set(true)
	on.SetLabel("rounded")
	offOn.Set(true)
	offOn.Disable()
	ways := NewSegments([]string{"step", "straight", "curved"}, nil)
	ways.SetMarks(Stepped, Straight, Curved)
	ways.Set(1)
	keep, export := NewButton("Keep dab", nil), NewButton("Export", nil)
	keep.SetIconIn(Disc, Bone)
	keep.SetDetail("4")
	keep.SetChosen(true)
	export.Kind = Prominent
	export.FocusGained()
	tick := NewCheck("proofs too", "", nil)
	tick.Set(true)
	golden(t, "choices", VBox(4, HBox(8, on, NewSwitch("", nil), offOn, tick),
		HBox(0, ways), HBox(12, keep, export), NewRadio([]string{"16 bit", "8 bit"}, "", nil)), 332, 140)
}

// golden compares what is drawn with testdata/NAME.png: samples may differ by
// 6, and by more on one in a hundred, since text is not drawn to the bit alike
// everywhere.
func golden(t *testing.T, name string, o fyne.CanvasObject, width, height float32) {
	t.Helper()
	w := shown(t, Ground(Column, Pad(8, 8, 8, 8, o)), width, height)
	got := w.Canvas().Capture()
	file := filepath.Join("testdata", name+".png")
	if *update {
		writePNG(t, file, got)
	}
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	want, err := png.Decode(f)
	require.NoError(t, err)
	require.Equal(t, want.Bounds(), got.Bounds(), name)
	far := 0
	for y := range got.Bounds().Dy() {
		for x := range got.Bounds().Dx() {
			if apart(got, want, x, y) > 6 {
				far++
			}
		}
	}
	limit := got.Bounds().Dx() * got.Bounds().Dy() / 100
	if !assert.LessOrEqual(t, far, limit, "%s: pixels that differ; see %s.got.png, or rerun with -update", name, name) {
		writePNG(t, name+".got.png", got)
	}
}

// apart is the largest difference of two pictures' channels at a place, of 255.
func apart(a, b image.Image, x, y int) int {
	r, g, bl, _ := a.At(x, y).RGBA()
	R, G, B, _ := b.At(x, y).RGBA()
	d := 0
	for _, p := range [][2]uint32{{r, R}, {g, G}, {bl, B}} {
		d = max(d, int(p[0]>>8)-int(p[1]>>8), int(p[1]>>8)-int(p[0]>>8))
	}
	return d
}

func writePNG(t *testing.T, file string, img image.Image) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
	f, err := os.Create(file)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, img))
	require.NoError(t, f.Close())
}
