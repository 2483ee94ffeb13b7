package ui

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/selection"
)

func TestTypedNumbersKeepARange(t *testing.T) {
	r := selection.Range{From: 0.2, To: 0.6, Before: 0.1, After: 0.1}
	assert.Equal(t, selection.Range{From: 0.7, To: 0.7, Before: 0.1, After: 0.1}, withNumber(selection.HSL, selection.Sat, r, 1, 0.7), "to gives way")
	assert.Equal(t, selection.Range{From: 0.1, To: 0.1, Before: 0.1, After: 0.1}, withNumber(selection.HSL, selection.Sat, r, 2, 0.1), "from gives way")
	assert.Equal(t, 0.3, withNumber(selection.HSL, selection.Sat, r, 3, 0.3).After)
	hue := selection.Range{From: 350, To: 370}
	across := withNumber(selection.HSL, selection.Hue, hue, 2, 22)
	assert.InDelta(t, 32, across.Span(), 1e-9, "from 350 through 0 to 22")
	across = withNumber(selection.HSL, selection.Hue, hue, 1, 5)
	assert.InDelta(t, 5, across.Span(), 1e-9, "from 5 to 10")
}
