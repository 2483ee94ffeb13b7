package scene

import (
	"bytes"
	"flag"
	"image"
	"image/color"
	"image/png"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/assets"
	"halocline/colour"
)

var update = flag.Bool("update", false, "write assets/sample.png anew")

const samplePath = "../../assets/sample.png"

// asPNG returns m as an 8-bit RGB file without alpha.
func asPNG(t *testing.T, m *colour.Image) []byte {
	t.Helper()
	w, h := m.Size()
	out := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := m.RGB(x, y)
			out.SetNRGBA(x, y, color.NRGBA{code(c.R), code(c.G), code(c.B), 255})
		}
	}
	var b bytes.Buffer
	encoder := png.Encoder{CompressionLevel: png.BestCompression}
	require.NoError(t, encoder.Encode(&b, out))
	return b.Bytes()
}

func code(v float64) uint8 { return uint8(v*255 + 0.5) }

// The embedded sample is frame 1 of seed 1, bit for bit.
func TestEmbeddedSample(t *testing.T) {
	f := usual(t, 1)
	if *update {
		require.NoError(t, os.WriteFile(samplePath, asPNG(t, f.Image), 0o644))
		return
	}
	m, err := png.Decode(bytes.NewReader(assets.SamplePNG))
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, Width, Height), m.Bounds())
	for y := range Height {
		for x := range Width {
			want := f.Image.RGB(x, y)
			got := color.NRGBAModel.Convert(m.At(x, y)).(color.NRGBA)
			if got != (color.NRGBA{code(want.R), code(want.G), code(want.B), 255}) {
				assert.NoError(t, os.WriteFile("sample.got.png", asPNG(t, f.Image), 0o644))
				t.Fatalf("pixel (%d,%d) of the embedded sample is %v, rendered %v; see sample.got.png, or rerun with -update", x, y, got, want)
			}
		}
	}
}
