package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/selection"
)

func TestNarrowest(t *testing.T) {
	p := selection.Pick{Model: selection.LCh}
	p.Limits[selection.Hue].Range = selection.Range{From: -20, To: 70}
	p.Limits[selection.Sat].Range = selection.Range{From: 10, To: 44}
	p.Limits[selection.Light].Range = selection.Range{From: 20, To: 50}
	assert.Equal(t, selection.Sat, Narrowest(p), "34 of 140 is less than a quarter and than 30 of 100")
	p.Limits[selection.Sat].Off = true
	assert.Equal(t, selection.Hue, Narrowest(p))
	p.Limits[selection.Hue].Off = true
	assert.Equal(t, selection.Light, Narrowest(p))
	p.Model = selection.HSL
	p.Limits[selection.Hue].Off = false
	p.Limits[selection.Light].Range = selection.Range{From: 0.5, To: 0.7}
	assert.Equal(t, selection.Light, Narrowest(p), "a fifth of 1")
	p.Limits = [selection.Channels]selection.Limit{{Off: true}, {Off: true}, {Off: true}}
	assert.Equal(t, selection.Hue, Narrowest(p))
}
