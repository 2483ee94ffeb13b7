package view

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestProxies(t *testing.T) {
	assert.Equal(t, 1, FullFactor(16))
	assert.Equal(t, 1, FullFactor(0.77))
	assert.Equal(t, 2, FullFactor(0.4896), "a frame of 1920 on 940")
	assert.Equal(t, 4, FullFactor(0.2448), "of 3840")
	assert.Equal(t, MaxProxy, FullFactor(1e-6))
	whole := image.Rect(0, 0, 1920, 1080)
	assert.Equal(t, 2, QuickFactor(whole, 2))
	assert.Equal(t, 2, QuickFactor(whole, 1), "a large window: a proxy while dragging")
	assert.Equal(t, 1, QuickFactor(image.Rect(0, 0, 600, 400), 1), "closer up nothing is lost")
	assert.Equal(t, 4, QuickFactor(image.Rect(0, 0, 3840, 2160), 4))
	assert.Equal(t, image.Rect(3, 3, 12, 12), covered(image.Rect(4, 5, 11, 10), 3, image.Pt(11, 11)))
}
