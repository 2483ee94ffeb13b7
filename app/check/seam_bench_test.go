package check

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// BenchmarkSeam looks at a 1080p frame on one goroutine: the picture's part, a
// matte's part, the map along the outline, and the picture's part written plainly.
func BenchmarkSeam(b *testing.B) {
	for name, noisy := range map[string]bool{"clean": false, "noisy": true} {
		matte, picture := shape(1920, 1080, 0, noisy), mixed(shape(1920, 1080, 0, false), 0.01)
		s, err := NewSeam(b.Context(), picture, matte, 0, 1)
		require.NoError(b, err)
		b.Run(name+"/picture", func(b *testing.B) {
			for b.Loop() {
				_, err := NewSeam(b.Context(), picture, matte, 0, 1)
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
