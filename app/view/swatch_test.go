package view

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/selection"
)

func TestSwatchesAreToldApart(t *testing.T) {
	seen := map[string]selection.Reason{}
	for r := selection.ByHue; r <= selection.ByJoin; r++ {
		s := Swatch(r, image.Pt(24, 24))
		other, is := seen[string(s.Pix)]
		assert.False(t, is, "%v looks like %v", r, other)
		seen[string(s.Pix)] = r
	}
}
