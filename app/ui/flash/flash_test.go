package flash

import (
	"image"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// grey is a picture of one code, but for a rectangle of another.
func grey(w, h int, ground uint8, r image.Rectangle, v uint8) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := ground
			if (image.Pt(x, y)).In(r) {
				c = v
			}
			m.Pix[y*m.Stride+4*x], m.Pix[y*m.Stride+4*x+1], m.Pix[y*m.Stride+4*x+2], m.Pix[y*m.Stride+4*x+3] = c, c, c, 255
		}
	}
	return m
}

// codeOf is the code whose relative luminance is nearest to v.
func codeOf(v float64) uint8 { return uint8(colour.Encoded(v)*255 + 0.5) }

const viewWide, viewHigh = 700, 520

// square is a rectangle of a share of a field of 341 x 256, in the view's middle.
func square(share float64) image.Rectangle {
	w := int(341 * share)
	return image.Rect(180, 130, 180+w, 130+256)
}

// A show is pictures at 25 a second.
type show func(i int) *image.RGBA

// between is a rectangle that goes from one luminance to another n times a
// second, there and back, on a ground of the first.
func between(a, b, hz float64, r image.Rectangle) show {
	return func(i int) *image.RGBA {
		v := a
		if int(2*hz*float64(i)/25)%2 == 1 {
			v = b
		}
		return grey(viewWide, viewHigh, codeOf(a), r, codeOf(v))
	}
}

func at(i int) time.Duration { return time.Duration(i) * 40 * time.Millisecond }

// risky reports whether a meter objects to any of three seconds of a show.
func risky(s show) bool {
	var m Meter
	for i := range 75 {
		if m.Add(Measure(s(i), 1), at(i)) {
			return true
		}
	}
	return false
}

// The numbers are those of WCAG 2.2, "general flash and red flash thresholds":
// 10 % of relative luminance, the darker below 0.80, three a second, a quarter of
// a field of 341 x 256 CSS pixels.
func TestTheThresholdsOfTheStandard(t *testing.T) {
	all := image.Rect(0, 0, viewWide, viewHigh)
	for _, tt := range []struct {
		name string
		show show
		want bool
	}{
		{"black and white, 12.5 a second", between(0, 1, 12.5, all), true},
		{"4 a second", between(0, 1, 4, all), true},
		{"3 a second", between(0, 1, 3, all), false},
		{"2 a second", between(0, 1, 2, all), false},
		{"by 12 %", between(0.3, 0.42, 6, all), true},
		{"by 8 %", between(0.3, 0.38, 6, all), false},
		{"the darker at 0.85", between(0.85, 1, 6, all), false},
		{"the darker at 0.75", between(0.75, 1, 6, all), true},
		{"a third of a field", between(0, 1, 6, square(0.33)), true},
		{"a seventh of a field", between(0, 1, 6, square(0.14)), false},
	} {
		assert.Equal(t, tt.want, risky(tt.show), tt.name)
	}
}

// Two halves of a rectangle that flash by turns, each too seldom to count alone.
func TestFlashesInTurnCountTogether(t *testing.T) {
	left, right := image.Rect(100, 100, 270, 356), image.Rect(270, 100, 441, 356)
	assert.True(t, risky(func(i int) *image.RGBA {
		r := left
		if i/5%2 == 1 {
			r = right
		}
		v := uint8(0)
		if i%5 >= 2 && i%5 < 4 {
			v = 255
		}
		return grey(viewWide, viewHigh, 0, r, v)
	}), "5 flashes in two seconds each, 5 a second in all")
}

func TestWhatMovesOrFadesDoesNotFlash(t *testing.T) {
	assert.False(t, risky(func(i int) *image.RGBA {
		return grey(viewWide, viewHigh, 0, image.Rect(0, 0, 9*i, viewHigh), 255)
	}), "an edge that goes by")
	assert.False(t, risky(func(i int) *image.RGBA { return grey(viewWide, viewHigh, uint8(3*i), image.Rectangle{}, 0) }), "a fade")
	for side := 1; side <= 3; side++ {
		assert.False(t, risky(func(i int) *image.RGBA {
			m := grey(viewWide, viewHigh, 0, image.Rectangle{}, 0)
			for p := 0; p < len(m.Pix); p += 4 {
				x, y := p/4%viewWide, p/4/viewWide
				v := uint8(255 * ((x/side + y/side + i) % 2))
				m.Pix[p], m.Pix[p+1], m.Pix[p+2] = v, v, v
			}
			return m
		}), "a checkerboard of %d pixels that turns about: exempt", side)
	}
}

// flashes is the standard read plainly, for a picture that is all of one grey:
// the most pairs of opposing changes within any second.
func flashes(values []float64) int {
	var times []time.Duration
	lo, hi, up := values[0], values[0], 0
	for i, v := range values {
		lo, hi = min(lo, v), max(hi, v)
		switch {
		case up <= 0 && v-lo >= 0.1 && lo < 0.8:
			up, lo, hi = 1, v, v
		case up >= 0 && hi-v >= 0.1 && v < 0.8:
			up, lo, hi = -1, v, v
		default:
			continue
		}
		times = append(times, at(i))
	}
	most := 0
	for i := range times {
		n := 0
		for _, u := range times[i:] {
			if u-times[i] < time.Second {
				n++
			}
		}
		most = max(most, n)
	}
	return (most + 1) / 2
}

func slowed(s show, seconds int) (values []float64, faded int) {
	var limiter Limiter
	for i := range 25 * seconds {
		m := s(i)
		if limiter.Limit(m, at(i), 1) {
			faded++
		}
		values = append(values, colour.Linear(float64(m.Pix[4*(viewWide*200+300)])/255))
	}
	return values, faded
}

func TestSlowedPicturesFlashThreeTimesASecondAtMost(t *testing.T) {
	if testing.Short() {
		t.Skip("25 seconds of pictures")
	}
	all := image.Rect(0, 0, viewWide, viewHigh)
	r := rand.New(rand.NewPCG(5, 6))
	random := make([]uint8, 200)
	for i := range random {
		random[i] = uint8(r.IntN(256))
	}
	for name, s := range map[string]show{
		"12.5 a second": between(0, 1, 12.5, all), "8": between(0, 1, 8.3, all), "5": between(0, 1, 5, all), "4": between(0.1, 0.5, 4, all),
		"random": func(i int) *image.RGBA { return grey(viewWide, viewHigh, random[i], image.Rectangle{}, 0) },
	} {
		raw := make([]float64, 125)
		for i := range raw {
			raw[i] = colour.Linear(float64(s(i).Pix[4*(viewWide*200+300)]) / 255)
		}
		require.Greater(t, flashes(raw), 3, name)
		values, faded := slowed(s, 5)
		assert.LessOrEqual(t, flashes(values), 3, name)
		assert.Positive(t, faded, name)
	}
}

func TestQuietPicturesAreShownAsTheyAre(t *testing.T) {
	s := between(0, 1, 2, image.Rect(0, 0, viewWide, viewHigh))
	var limiter Limiter
	for i := range 60 {
		m := s(i)
		assert.False(t, limiter.Limit(m, at(i), 1))
		require.Equal(t, s(i).Pix, m.Pix)
	}
}

// Two seconds after the last flash pictures are shown as they are again.
func TestSlowingEnds(t *testing.T) {
	var limiter Limiter
	all := image.Rect(0, 0, viewWide, viewHigh)
	for i := range 150 {
		s := between(0, 1, 12.5, all)
		if i >= 25 {
			s = between(1, 1, 1, all)
		}
		m := s(i)
		faded := limiter.Limit(m, at(i), 1)
		if i > 25+3*25 {
			assert.False(t, faded, "%d", i)
			assert.EqualValues(t, 255, m.Pix[0])
		}
	}
}

func TestMixIsTheShareOfTheWay(t *testing.T) {
	a, b := grey(4, 4, 10, image.Rectangle{}, 0), grey(4, 4, 210, image.Rectangle{}, 0)
	Mix(b, a, 64)
	assert.EqualValues(t, 60, b.Pix[0])
	assert.EqualValues(t, 255, b.Pix[3])
	assert.InDelta(t, colour.Linear(60.0/255), MeasureMix(a, grey(4, 4, 210, image.Rectangle{}, 0), 64, 1).Values[0], 1e-5)
	assert.InDelta(t, 1, Measure(grey(40, 40, 255, image.Rectangle{}, 0), 1).Values[3], 1e-5, "white is 1")
}

func BenchmarkLimit(b *testing.B) {
	var limiter Limiter
	m := grey(1480, 832, 90, image.Rect(300, 300, 900, 700), 200)
	for i := 0; b.Loop(); i++ {
		limiter.Limit(m, at(i), 1)
	}
}
