package render

import (
	"image"
	"image/color"
	"image/png"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/follow"
)

// paintOther writes a picture of another place as a frame.
func (d *slide) paintOther(t *testing.T, n int) {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, 160, 100))
	for y := range 100 {
		for x := range 160 {
			v := uint8((x/7*53+y/5*91+x/7*y/5*17)%180 + 20)
			m.SetNRGBA(x, y, color.NRGBA{v, v, v / 2, 255})
		}
	}
	f, err := os.Create(d.path(n))
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, m))
	require.NoError(t, f.Close())
}

// confidences are those of frames in a row.
func (d *slide) confidences(t *testing.T, r *Renderer, first, last int) (all []Confidence) {
	t.Helper()
	for n := first; n <= last; n++ {
		c, ok, err := r.Confidence(t.Context(), d.study, &d.study.Mattes[0].Settings, n)
		require.NoError(t, err)
		require.True(t, ok)
		all = append(all, c)
	}
	return all
}

// Where a shot changes within a stretch, no outline that came across is sure, and each frame
// says where; from a single key those before it are. What is kept says the same.
func TestAStretchAcrossACut(t *testing.T) {
	for _, search := range []float64{0, 6} {
		d := newSlide(t, 8, search)
		d.paintOther(t, 5)
		d.paintOther(t, 6)
		s := &shelf{}
		var made []Confidence
		for _, r := range []*Renderer{d.renderer(t, s), d.renderer(t, s)} {
			all := d.confidences(t, r, 2, 7)
			for i, c := range all {
				require.Zero(t, c.Least, "frame %d", i+2)
				require.Equal(t, []int{5, 7}, c.Breaks.Cuts, "frame %d", i+2)
			}
			if made == nil {
				made = all
			}
			require.Equal(t, made, all)
			o, err := r.Outlines(t.Context(), d.request(3))
			require.NoError(t, err)
			require.Equal(t, []int{5, 7}, o[0].Breaks.Cuts)
		}
		m := &d.study.Mattes[0].Masks[0]
		m.RemoveKey(8)
		m.After = true
		for n, c := range d.confidences(t, d.renderer(t, s), 2, 8) {
			require.Equal(t, n+2 < 5, c.Least > 0.5, "frame %d: %v", n+2, c.Least)
			require.Equal(t, n+2 >= 5, len(c.Breaks.Cuts) > 0, "frame %d", n+2)
		}
	}
}

// Missing and repeated frames are told, and are no cut.
func TestAStretchAcrossMissingAndRepeatedFrames(t *testing.T) {
	d := newSlide(t, 8, 0)
	require.NoError(t, os.Remove(d.path(3)))
	again, err := os.ReadFile(d.path(5))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(d.path(6), again, 0o600))
	for _, c := range d.confidences(t, d.renderer(t, &shelf{}), 4, 7) {
		require.Equal(t, follow.Breaks{Missing: []int{3}, Repeats: []int{6}}, c.Breaks)
		require.Greater(t, c.Least, 0.5)
	}
}

// Who goes on where another was stopped knows the cut that was passed before.
func TestACutIsKnownToWhoGoesOn(t *testing.T) {
	d := newSlide(t, 8, 0)
	for n := 3; n <= 8; n++ {
		d.paintOther(t, n)
	}
	m := &d.study.Mattes[0].Masks[0]
	m.RemoveKey(8)
	m.After = true
	s := &shelf{}
	d.confidences(t, d.renderer(t, s), 2, 4)
	fresh := d.renderer(t, s)
	all := d.confidences(t, fresh, 6, 6)
	require.Equal(t, []int{3}, all[0].Breaks.Cuts)
	require.LessOrEqual(t, fresh.Runs()[FindFlow], 2*3+1, "it went on from frame 4")
}
