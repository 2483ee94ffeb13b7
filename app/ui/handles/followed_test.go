package handles

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
)

// count is how many pixels of a picture are of about a grey or a colour.
func count(m *image.RGBA, like func(r, g, b uint8) bool) (n int) {
	for i := 0; i < len(m.Pix); i += 4 {
		if like(m.Pix[i], m.Pix[i+1], m.Pix[i+2]) {
			n++
		}
	}
	return n
}

// A followed outline is a line to drag, with words to press beside it; where it lies outside of
// the view there are none.
func TestAFollowedOutlineIsALineAndWords(t *testing.T) {
	contours := [][]mask.Point{disc(220, 220, 80, 0)}
	f := FollowedOf(contours, plain, 1)
	assert.Equal(t, TheLine, f.Hit(300, 220))
	assert.Equal(t, TheLine, f.Hit(220, 296))
	assert.Equal(t, NoPart, f.Hit(220, 220), "inside")
	w := f.words
	require.Greater(t, w.X1, w.X0)
	assert.Greater(t, w.X0, 300.0)
	assert.Equal(t, TheWords, f.Hit((w.X0+w.X1)/2, (w.Y0+w.Y1)/2))
	assert.Equal(t, NoPart, f.Hit(w.X1+1, w.Y0))

	draw := func(f *Followed, over FollowedPart) *image.RGBA {
		m := image.NewRGBA(image.Rect(0, 0, plain.VW, plain.VH))
		f.Draw(m, over)
		return m
	}
	// Thin lines cover half a pixel: what tells them apart is their hue.
	bone := func(r, g, b uint8) bool { return r > 0x60 && int(r)-int(b) > 4 && r >= g }
	accent := func(r, g, b uint8) bool { return r > 0x60 && int(r)-int(g) > 12 && int(b)-int(g) > 12 }
	rest := draw(f, NoPart)
	assert.Positive(t, count(rest, bone))
	assert.Zero(t, count(rest, accent))
	assert.Positive(t, count(draw(f, TheLine), accent))
	assert.Positive(t, count(draw(f, TheWords), accent))

	away := FollowedOf([][]mask.Point{disc(-500, -500, 80, 0)}, plain, 1)
	assert.Equal(t, away.words.X0, away.words.X1)
	assert.Zero(t, count(draw(away, NoPart), func(r, g, b uint8) bool { return max(r, g, b) > 0 }))
}

// An outline of before an edit is fainter than one that is known.
func TestAStaleOutlineIsFaint(t *testing.T) {
	contours := [][]mask.Point{disc(220, 220, 80, 0)}
	brightest := func(draw func(m *image.RGBA)) (v uint8) {
		m := image.NewRGBA(image.Rect(0, 0, plain.VW, plain.VH))
		draw(m)
		for i := 0; i < len(m.Pix); i += 4 {
			v = max(v, m.Pix[i])
		}
		return v
	}
	stale := brightest(func(m *image.RGBA) { DrawStale(m, contours, plain, 1) })
	found := brightest(func(m *image.RGBA) { DrawFound(m, contours, plain, 1) })
	assert.Positive(t, stale)
	assert.Less(t, int(stale), int(found)/2)
}

// An outline that stands for another has no handles; its words stay in the view.
func TestAnOutlineAsAtAKey(t *testing.T) {
	h := Of(square(100, 100, 200), plain, 1)
	m := image.NewRGBA(image.Rect(0, 0, plain.VW, plain.VH))
	h.DrawAsAt(m, "as at key 7")
	full := image.NewRGBA(m.Rect)
	h.Draw(full, Part{}, false)
	white := func(r, g, b uint8) bool { return min(r, g, b) > 0xf8 }
	assert.Zero(t, count(m, white))
	assert.Positive(t, count(full, white))
	assert.Equal(t, 1, h.NearestVertex(290, 110))
	assert.Equal(t, -1, Of(mask.Shape{}, plain, 1).NearestVertex(0, 0))
	Of(mask.Shape{}, plain, 1).DrawAsAt(m, "")
	wide := plain
	wide.Zoom *= 40
	Of(square(100, 100, 200), wide, 1).DrawAsAt(m, "as at key 7")
}
