package seam

import (
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/colour"
)

// BenchmarkSeam looks at a 1080p frame on one goroutine: the picture's share of the
// work, a matte's, and the map along the outline. Its yardstick is the whole frame in
// CIELAB, which a Seam needs along the outline only.
func BenchmarkSeam(b *testing.B) {
	for name, noisy := range map[string]bool{"clean": false, "noisy": true} {
		matte, picture := shape(1920, 1080, 0, noisy), mixed(shape(1920, 1080, 0, false), 0.01)
		s, err := New(b.Context(), picture, matte, 0, 1)
		require.NoError(b, err)
		b.Run(name+"/lab", func(b *testing.B) {
			lab := colour.NewImage(1920, 1080)
			for b.Loop() {
				colour.LabRow(lab.R.Pix, lab.G.Pix, lab.B.Pix, picture.R.Pix, picture.G.Pix, picture.B.Pix)
			}
		})
		b.Run(name+"/picture", func(b *testing.B) {
			for b.Loop() {
				_, err := New(b.Context(), picture, matte, 0, 1)
				require.NoError(b, err)
			}
		})
		b.Run(name+"/judge", func(b *testing.B) {
			for b.Loop() {
				_, err := s.Judge(b.Context(), matte, 1, 1)
				require.NoError(b, err)
			}
		})
		b.Run(name+"/along", func(b *testing.B) {
			for b.Loop() {
				_, err := s.Along(b.Context(), matte, 1)
				require.NoError(b, err)
			}
		})
	}
}

// BenchmarkCoverage looks for whole regions of a 1080p frame on one goroutine, its matte and picture being
// at hand.
func BenchmarkCoverage(b *testing.B) {
	matte, picture := shape(1920, 1080, 0, false), mixed(shape(1920, 1080, 0, false), 0.01)
	g := tiling{matte: matte, picture: picture, likeness: check.LikenessOf(bothDabs), grade: warmTrial(1).Colour, radius: 24}
	for b.Loop() {
		t, err := g.tile(b.Context(), 1)
		require.NoError(b, err)
		alike := alikeOf * t.usual()
		t.regions(within, dropped, alike)
		t.regions(outside, kept, alike)
	}
}
