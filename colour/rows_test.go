package colour

import (
	"context"
	"image"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEachBandCoversEveryRowOnce(t *testing.T) {
	for _, workers := range []int{0, 1, 2, 7, 50} {
		for _, h := range []int{0, 1, 15, 16, 17, 200} {
			var mu sync.Mutex
			times := make([]int, h)
			require.NoError(t, EachBand(background, workers, h, func(y0, y1 int) {
				mu.Lock()
				defer mu.Unlock()
				assert.Zero(t, y0%BandRows, "bands start at fixed rows")
				assert.LessOrEqual(t, y1, y0+BandRows)
				for y := y0; y < y1; y++ {
					times[y]++
				}
			}))
			for y, n := range times {
				require.Equal(t, 1, n, "row %d of %d, %d workers", y, h, workers)
			}
		}
	}
}

func TestEachBandStopsWithItsContext(t *testing.T) {
	for _, workers := range []int{1, 3} {
		ctx, cancel := context.WithCancel(background)
		var mu sync.Mutex
		bands := 0
		err := EachBand(ctx, workers, 100*BandRows, func(_, _ int) {
			mu.Lock()
			defer mu.Unlock()
			bands++
			cancel()
		})
		assert.ErrorIs(t, err, context.Canceled)
		assert.LessOrEqual(t, bands, workers)
	}
}

func TestPlane(t *testing.T) {
	p := NewPlane(3, 2)
	p.Row(1)[2] = 7
	assert.Equal(t, float32(7), p.At(2, 1))
	assert.Equal(t, 3, cap(p.Row(0)), "a row does not reach into the next")
	memory := &p.Pix[0]
	p.Reshape(2, 2)
	assert.Same(t, memory, &p.Pix[0])
	assert.Len(t, p.Pix, 4)
	p.Reshape(5, 5)
	assert.Len(t, p.Pix, 25)
	assert.True(t, p.SameSize(NewPlane(5, 5)))
	assert.False(t, p.SameSize(NewPlane(25, 1)))
	assert.Equal(t, image.Rect(0, 0, 5, 5), p.Bounds())

	view := Plane{W: 5, H: 1, Pix: p.Row(0)}
	assert.True(t, p.SharesWith(view))
	assert.False(t, p.SharesWith(NewPlane(5, 5)))
	assert.False(t, Plane{}.SharesWith(Plane{}), "empty planes have no samples")

	m := NewImage(4, 3)
	m.G.Pix[5] = 0.5
	assert.Equal(t, RGB{0, 0.5, 0}, m.RGB(1, 1))
	m.Reshape(2, 1)
	w, h := m.Size()
	assert.Equal(t, [2]int{2, 1}, [2]int{w, h})
}

func TestResizedRowsReuseTheirMemory(t *testing.T) {
	rows := ResizedRows[float32](nil, 2, 6)
	memory := &rows[1][0]
	rows = ResizedRows(rows, 3, 4)
	assert.Len(t, rows, 3)
	for _, row := range rows {
		assert.Len(t, row, 4)
	}
	assert.Same(t, memory, &rows[1][0])
	assert.Len(t, ResizedRows(rows, 1, 9)[0], 9)
}
