package flash

import (
	"image"
	"time"
)

// whole is the share of a picture that is shown as it is, in Mix's parts.
const whole = 256

// quiet is the most of a new picture that is shown while pictures flash: at 12.5
// flashes a second of full black and white what is left of the change is a
// twelfth.
const quiet = whole * 3 / 20

// smoothFor is how long after the last risk pictures go on being faded: long enough
// not to begin anew with each.
const smoothFor = 2 * time.Second

// A Limiter makes sure that the pictures of a view that plays do not flash more
// than three times a second: where they would, each is faded into those before
// it, as far as is needed. The zero value is ready.
type Limiter struct {
	came, shown Meter // of the pictures as they come, and as they are shown
	before      *image.RGBA
	until       time.Duration // faded up to here
}

// Limit fades a picture, which is to be shown at a time, into the one before it
// where that is needed, and reports whether it was. It shows scale pixels per
// unit. The picture is written, never kept.
func (c *Limiter) Limit(m *image.RGBA, t time.Duration, scale float64) bool {
	if c.before == nil || c.before.Rect.Size() != m.Rect.Size() {
		*c = Limiter{before: image.NewRGBA(image.Rectangle{Max: m.Rect.Size()})}
		copyPicture(c.before, m)
	}
	l := Measure(m, scale)
	if c.came.Add(l, t) {
		c.until = t + smoothFor
	}
	shares := []int{whole, whole / 2, whole / 4}
	if t < c.until {
		shares = []int{quiet, quiet / 2, quiet / 4}
	}
	share := 0 // nothing new makes no flash
	for _, s := range shares {
		next := c.shown.clone()
		if s != whole {
			l = MeasureMix(c.before, m, s, scale)
		}
		if !next.Add(l, t) {
			share, c.shown = s, next
			break
		}
	}
	if share == 0 {
		c.shown.Add(Measure(c.before, scale), t)
	}
	if share != whole {
		Mix(m, c.before, share)
	}
	copyPicture(c.before, m)
	return share != whole
}

// Mix makes m what lies share 256ths of the way from a picture to m. Both are of
// one size.
func Mix(m, before *image.RGBA, share int) {
	w := 4 * m.Rect.Dx()
	for y := range m.Rect.Dy() {
		to, from := m.Pix[y*m.Stride:][:w], before.Pix[y*before.Stride:][:w]
		for i := range to {
			to[i] = mixed(from[i], to[i], share)
		}
	}
}

// mixed is what lies share 256ths of the way from one code to another.
func mixed(from, to uint8, share int) uint8 {
	return uint8(int(from) + (share*(int(to)-int(from))+whole/2)>>8)
}

func copyPicture(to, from *image.RGBA) {
	w := 4 * to.Rect.Dx()
	for y := range to.Rect.Dy() {
		copy(to.Pix[y*to.Stride:][:w], from.Pix[y*from.Stride:][:w])
	}
}
