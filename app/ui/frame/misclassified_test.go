package frame

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/selection"
)

// What is to be kept and lost is marked while it is asked for, in Pick alone.
func TestMisclassifiedAreMarked(t *testing.T) {
	b := newBench(t, 1)
	b.desk.EditMatte("None", func(m *study.Matte) error {
		m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 0.99, To: 1})}
		return nil
	})
	b.rest(t)
	blank := b.drawn(b.frame.drawMarks)
	assert.Equal(t, make([]uint8, len(blank)), blank)
	b.desk.ToggleMisclassified()
	require.NotEmpty(t, b.desk.Misclassified().Lost)
	require.Empty(t, b.desk.Misclassified().Caught)
	marked := &image.RGBA{Pix: b.drawn(b.frame.drawMarks), Stride: 4 * b.viewer.Viewport().VW, Rect: image.Rect(0, 0, b.viewer.Viewport().VW, b.viewer.Viewport().VH)}
	x, y := b.viewer.Viewport().ToScreen(230, 135) // amid a keep dab
	white := 0
	for dy := -markGap; dy <= markGap; dy++ {
		for dx := -markGap; dx <= markGap; dx++ {
			if c := marked.RGBAAt(int(x)+dx, int(y)+dy); c.R == look.White.R {
				white++
			}
		}
	}
	assert.Positive(t, white)
	x, y = b.viewer.Viewport().ToScreen(60, 135) // amid a drop dab
	assert.Zero(t, marked.RGBAAt(int(x), int(y)))
	b.desk.GoToStep(desk.StepEdge)
	assert.Equal(t, blank, b.drawn(b.frame.drawMarks))
}
