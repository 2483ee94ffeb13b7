package colour

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestDomainHasTheRowsOfItsBox(t *testing.T) {
	p, mask := NewPlane(5, 4), NewPlane(5, 4)
	for i := range p.Pix {
		p.Pix[i], mask.Pix[i] = float32(i), float32(100+i)
	}
	all := Domain{Box: image.Rect(1, 2, 4, 4)}
	w, h := all.Size()
	assert.Equal(t, [2]int{3, 2}, [2]int{w, h})
	assert.Equal(t, []float32{11, 12, 13}, all.Row(&p, 0))
	assert.Equal(t, []float32{16, 17, 18}, all.Row(&p, 1))
	assert.Equal(t, 3, cap(all.Row(&p, 0)), "a row cannot grow into the next pixels")
	assert.Nil(t, all.Part(0))
	assert.False(t, all.Empty())

	masked := Domain{Box: all.Box, Mask: &mask}
	assert.Equal(t, []float32{116, 117, 118}, masked.Part(1))
	assert.True(t, Domain{}.Empty())
}
