package check

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func BenchmarkFigures(b *testing.B) {
	for name, noisy := range map[string]bool{"clean": false, "noisy": true} {
		matte, picture := shape(1920, 1080, 0, noisy), seen(1920, 1080)
		b.Run(name+"/measure", func(b *testing.B) {
			for b.Loop() {
				_, err := Measure(b.Context(), matte, 2)
				require.NoError(b, err)
			}
		})
		b.Run(name+"/worst", func(b *testing.B) {
			for b.Loop() {
				_, err := WorstEdges(b.Context(), matte, picture, 6, 40, 2)
				require.NoError(b, err)
			}
		})
		b.Run(name+"/twin", func(b *testing.B) {
			for b.Loop() {
				slowMeasure(matte)
			}
		})
	}
}
