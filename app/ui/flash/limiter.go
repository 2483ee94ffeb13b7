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

// slowedFor is how long after the last risk pictures go on being faded: long enough
// not to begin anew with each.
const slowedFor = 2 * time.Second

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
func (f *Limiter) Limit(m *image.RGBA, t time.Duration, scale float64) bool {
	if f.before == nil || f.before.Rect.Size() != m.Rect.Size() {
		*f = Limiter{before: image.NewRGBA(image.Rectangle{Max: m.Rect.Size()})}
		copyPicture(f.before, m)
	}
	l := Measure(m, scale)
	if f.came.Add(l, t) {
		f.until = t + slowedFor
	}
	shares := []int{whole, whole / 2, whole / 4}
	if t < f.until {
		shares = []int{quiet, quiet / 2, quiet / 4}
	}
	share := 0 // nothing new makes no flash
	for _, s := range shares {
		next := f.shown.clone()
		if s != whole {
			l = MeasureMix(f.before, m, s, scale)
		}
		if !next.Add(l, t) {
			share, f.shown = s, next
			break
		}
	}
	if share == 0 {
		f.shown.Add(Measure(f.before, scale), t)
	}
	if share != whole {
		Mix(m, f.before, share)
	}
	copyPicture(f.before, m)
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
