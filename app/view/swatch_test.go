package view

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/selection"
)

func TestSwatchesAreToldApart(t *testing.T) {
	seen := map[string]selection.Reason{}
	for r := selection.ByHue; r <= selection.ByFound; r++ {
		s := Swatch(r, image.Pt(24, 24))
		other, is := seen[string(s.Pix)]
		assert.False(t, is, "%v looks like %v", r, other)
		seen[string(s.Pix)] = r
	}
}

// No pattern looks like another, however they are shifted: they differ in every seventh pixel
// or more.
func TestPatternsAreToldApart(t *testing.T) {
	for a := selection.ByHue; a <= selection.ByFound; a++ {
		for b := a + 1; b <= selection.ByFound; b++ {
			for shift := range reasonsTile * reasonsTile {
				differ := 0
				for y := range reasonsTile {
					for x := range reasonsTile {
						if reasonLift[a][y][x] != reasonLift[b][(y+shift/reasonsTile)%reasonsTile][(x+shift)%reasonsTile] {
							differ++
						}
					}
				}
				assert.GreaterOrEqual(t, 7*differ, reasonsTile*reasonsTile, "%v and %v, shift %d", a, b, shift)
			}
		}
	}
}
