package flash

import (
	"image"
	"math"
	"slices"
	"time"

	"halocline/colour"
)

const (
	change   = 0.10 // of relative luminance, to be one of a pair
	darkest  = 0.80 // the darker one is below this
	window   = time.Second
	mostHalf = 6 // opposing changes within the window: three pairs

	cellsWide, cellsHigh = 20, 15 // of a field
	fieldWide            = 341    // CSS pixels
	leastArea            = cellsWide * cellsHigh / 4
)

// A Meter watches the pictures of a view for flashes. The zero value has seen
// nothing yet.
type Meter struct {
	cols, rows int
	cells      []swing
	fields     []field // by the cell at their top left
	sums       [3][]int32
}

// A swing is the course of one cell's luminance.
type swing struct {
	lo, hi float32 // reached since the last change counted; before the first: of all
	up     int8    // the last change counted: 1 up, -1 down, 0 none yet
	times  ring
}

// A field is what flashes in one field of view as a whole.
type field struct {
	up    int8
	times ring
}

// A ring holds when the last changes were.
type ring struct {
	at   [mostHalf + 1]time.Duration
	next uint8
	n    uint8
}

func (r *ring) add(t time.Duration) {
	r.at[r.next] = t
	r.next = (r.next + 1) % uint8(len(r.at))
	r.n = min(r.n+1, uint8(len(r.at)))
}

// full reports whether more changes than are allowed lie within the window that
// ends at t.
func (r *ring) full(t time.Duration) bool {
	return int(r.n) == len(r.at) && t-r.at[r.next] < window
}

// take takes in a luminance, and returns 1 for a rise that counts, -1 for a fall.
func (s *swing) take(v float32) int8 {
	s.lo, s.hi = min(s.lo, v), max(s.hi, v)
	switch {
	case s.up <= 0 && v-s.lo >= change && s.lo < darkest:
		s.up, s.lo, s.hi = 1, v, v
	case s.up >= 0 && s.hi-v >= change && v < darkest:
		s.up, s.lo, s.hi = -1, v, v
	default:
		return 0
	}
	return s.up
}

// Luminances are the mean relative luminances of a picture's cells, row by row.
type Luminances struct {
	Cols, Rows int
	Values     []float32
}

// light is what each code of red, green and blue adds to the relative luminance.
var light = func() (t [3][256]float32) {
	for c := range t {
		for i := range t[c] {
			var rgb [3]float64
			rgb[c] = colour.Linear(float64(i) / 255)
			t[c][i] = float32(colour.Luminance(rgb))
		}
	}
	return t
}()

// Measure measures a picture of a view that shows scale pixels per unit. Of four
// rows the first two are looked at, whose pixels go to one cell, so that fine
// patterns balance out as they do for the eye.
func Measure(m *image.RGBA, scale float64) Luminances { return MeasureMix(m, m, 0, scale) }

// MeasureMix measures what lies share 256ths of the way from a picture to another
// of its size.
func MeasureMix(m, to *image.RGBA, share int, scale float64) Luminances {
	cell := max(2, fieldWide*scale/cellsWide)
	w, h := m.Rect.Dx(), m.Rect.Dy()
	l := Luminances{Cols: int(math.Ceil(float64(w) / cell)), Rows: int(math.Ceil(float64(h) / cell))}
	l.Values = make([]float32, l.Cols*l.Rows)
	counts := make([]float32, len(l.Values))
	for y := range h {
		if y%4 > 1 {
			continue
		}
		row, other := m.Pix[y*m.Stride:], to.Pix[y*to.Stride:]
		at := int(float64(y&^1)/cell) * l.Cols
		for x := range w {
			p, q := row[4*x:4*x+3:4*x+3], other[4*x:4*x+3:4*x+3]
			i := at + int(float64(x)/cell)
			l.Values[i] += light[0][mixed(p[0], q[0], share)] + light[1][mixed(p[1], q[1], share)] + light[2][mixed(p[2], q[2], share)]
			counts[i]++
		}
	}
	for i := range l.Values {
		l.Values[i] /= max(counts[i], 1)
	}
	return l
}

// Add takes in the next picture, shown at a time, and reports whether by now
// there are more than three flashes a second. Pictures of another size are a new
// beginning.
func (m *Meter) Add(l Luminances, t time.Duration) bool {
	if l.Cols != m.cols || l.Rows != m.rows || len(m.cells) == 0 {
		m.begin(l)
		return false
	}
	for i := range m.sums {
		clear(m.sums[i])
	}
	for y := range m.rows {
		for x := range m.cols {
			s := &m.cells[y*m.cols+x]
			d := s.take(l.Values[y*m.cols+x])
			if d != 0 {
				s.times.add(t)
			}
			at := (y+1)*(m.cols+1) + x + 1
			for k, on := range [3]bool{d > 0, d < 0, s.times.full(t)} {
				v := m.sums[k][at-1] + m.sums[k][at-m.cols-1] - m.sums[k][at-m.cols-2]
				if on {
					v++
				}
				m.sums[k][at] = v
			}
		}
	}
	return m.addFields(t)
}

func (m *Meter) begin(l Luminances) {
	m.cols, m.rows = l.Cols, l.Rows
	m.cells = make([]swing, len(l.Values))
	for i, v := range l.Values {
		m.cells[i].lo, m.cells[i].hi = v, v
	}
	m.fields = make([]field, len(l.Values))
	for i := range m.sums {
		m.sums[i] = make([]int32, (l.Cols+1)*(l.Rows+1))
	}
}

// addFields looks at every field: whether the cells in it that flash too often by
// themselves take up too much of it, and whether it does so as a whole, with now
// these cells and now others.
func (m *Meter) addFields(t time.Duration) (risk bool) {
	for y := 0; y == 0 || y+cellsHigh <= m.rows; y++ {
		for x := 0; x == 0 || x+cellsWide <= m.cols; x++ {
			f := &m.fields[y*m.cols+x]
			x1, y1 := min(x+cellsWide, m.cols), min(y+cellsHigh, m.rows)
			if m.count(0, x, y, x1, y1) >= leastArea && f.up <= 0 {
				f.up = 1
				f.times.add(t)
			}
			if m.count(1, x, y, x1, y1) >= leastArea && f.up >= 0 {
				f.up = -1
				f.times.add(t)
			}
			if f.times.full(t) || m.count(2, x, y, x1, y1) >= leastArea {
				risk = true
			}
		}
	}
	return risk
}

// count is how many cells of a kind lie in a rectangle.
func (m *Meter) count(kind, x0, y0, x1, y1 int) int32 {
	s, w := m.sums[kind], m.cols+1
	return s[y1*w+x1] - s[y0*w+x1] - s[y1*w+x0] + s[y0*w+x0]
}

func (m *Meter) clone() Meter {
	out := *m
	out.cells, out.fields = slices.Clone(m.cells), slices.Clone(m.fields)
	for i := range out.sums {
		out.sums[i] = slices.Clone(m.sums[i])
	}
	return out
}
