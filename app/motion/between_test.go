package motion

import (
	"context"
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/scene"
	"halocline/colour"
)

var warps = []struct {
	name string
	warp affine
}{
	{"rest", shift(0, 0)},
	{"fractions", shift(1.37, -0.61)},
	{"ten", shift(9.5, 4.25)},
	{"rotation", turn(2, 1)},
	{"scale", turn(0, 1.03)},
	{"shear", affine{1, 0.03, 0, 1, 0.5, 0}},
}

var conditions = []struct {
	name string
	to   func(p colour.Plane) colour.Plane
	from func(p colour.Plane) colour.Plane
	most float64 // mean error, px
}{
	{"plain", same, same, 0.06},
	{"light", func(p colour.Plane) colour.Plane { return lit(p, 1.2, 0.05) }, same, 0.08},
	{"noise", func(p colour.Plane) colour.Plane { return noisy(p, 0.015, 1) }, func(p colour.Plane) colour.Plane { return noisy(p, 0.015, 2) }, 0.2},
}

func same(p colour.Plane) colour.Plane { return p }

// The truth is the affine itself.
func TestWarpsAreFound(t *testing.T) {
	const w, h = 200, 150
	for _, c := range warps {
		from, to := pair(c.warp, w, h)
		for _, k := range conditions {
			t.Run(c.name+"/"+k.name, func(t *testing.T) {
				f := flowOf(t, k.from(from), k.to(to))
				got := endPointError(c.warp, w, h, f.At)
				t.Logf("mean end-point error %.3f px", got)
				assert.Less(t, got, k.most)
			})
		}
	}
}

func sceneLuma(t testing.TB, frame, w, h int) colour.Plane {
	f, err := scene.Render(context.Background(), 1, frame, w, h, 0)
	require.NoError(t, err)
	return lumaOf(f.Image)
}

func lumaOf(m *colour.Image) colour.Plane {
	w, h := m.Size()
	p := colour.NewPlane(w, h)
	for i := range p.Pix {
		p.Pix[i] = 0.2126*m.R.Pix[i] + 0.7152*m.G.Pix[i] + 0.0722*m.B.Pix[i]
	}
	return p
}

var _ = math.Pi
var _ = binary.LittleEndian
