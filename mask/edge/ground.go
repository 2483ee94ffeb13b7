package edge

import (
	"context"
	"image"
	"math"

	"halocline/colour"
)

// A place is what is known of a pixel before the search.
type place uint8

const (
	offFrame  place = iota // no picture there
	sureOut                // outside, as drawn or by a dab
	sureIn                 // inside, likewise
	undecided              // to be found
)

// A ground is the pixels about an outline, at full size or smaller.
type ground struct {
	area   image.Rectangle // in pixels of the source
	factor int             // pixels of the source, each way, to one
	w, h   int
	unit   float64 // pixels of one length
	lab    []tint
	floor  float64 // added to the variances of Gaussians

	filled []bool // by the outline
	place  []place
	dabbed []place   // by which dab it is decided; offFrame for none
	depth  []float32 // below the outline, in pixels; outside below 0
	half   []float32 // how deep the deepest pixel nearby lies
	prior  []int16   // what the depth says for inside, in costs
	says   []int16   // what the colour says for inside, of places that are undecided
	found  []bool    // inside

	inside, outside mixture // of colours, by all that was learnt; nil where too few were seen

	manner
	workers int
	link    links
}

// A tint is a colour in CIELAB, in single precision.
type tint [3]float32

func (c tint) vector() vector { return vector{float64(c[0]), float64(c[1]), float64(c[2])} }

// newGround reads the picture of the part crop of an area.
func newGround(area, crop image.Rectangle, picture *colour.Image, workers int) *ground {
	g := &ground{area: area, factor: 1, w: area.Dx(), h: area.Dy(), manner: usual, workers: workers}
	g.lab, g.place = make([]tint, g.w*g.h), make([]place, g.w*g.h)
	at := crop.Min.Sub(area.Min)
	_ = colour.EachStrip(context.Background(), workers, crop.Dy(), 4*colour.BandRows, func(y0, y1 int) {
		readLab(picture, y0, y1, func(y int) []tint { return g.lab[(y+at.Y)*g.w+at.X:][:picture.R.W] })
	})
	for y := range crop.Dy() {
		row := g.place[(y+at.Y)*g.w+at.X:][:crop.Dx()]
		for x := range row {
			row[x] = undecided
		}
	}
	return g
}

// shrunk is the same ground, smaller: each pixel is the mean of those that lie in the frame.
func (g *ground) shrunk(n int) *ground {
	s := &ground{area: g.area, factor: n, w: (g.w + n - 1) / n, h: (g.h + n - 1) / n, manner: g.manner, workers: g.workers}
	s.lab, s.place = make([]tint, s.w*s.h), make([]place, s.w*s.h)
	count := make([]float32, s.w)
	for y := range s.h {
		to := s.lab[y*s.w:][:s.w]
		clear(count)
		for fy := y * n; fy < min((y+1)*n, g.h); fy++ {
			for fx := range g.w {
				if i := fy*g.w + fx; g.place[i] != offFrame {
					t, c := &to[fx/n], &g.lab[i]
					t[0], t[1], t[2] = t[0]+c[0], t[1]+c[1], t[2]+c[2]
					count[fx/n]++
				}
			}
		}
		for x, k := range count {
			if k > 0 {
				t := &to[x]
				t[0], t[1], t[2] = t[0]/k, t[1]/k, t[2]/k
				s.place[y*s.w+x] = undecided
			}
		}
	}
	return s
}

// The smoothing of the picture: a Gaussian of sigma 1, cut off at 3 pixels.
const reach = 3

var taps = func() (t [reach + 1]float32) {
	sum := 1.
	for i := 1; i <= reach; i++ {
		sum += 2 * math.Exp(-float64(i*i)/2)
	}
	for i := range t {
		t[i] = float32(math.Exp(-float64(i*i)/2) / sum)
	}
	return t
}()

// readLab writes a picture's rows [y0,y1) in CIELAB, smoothed. Its border's pixels go on
// beyond it.
func readLab(m *colour.Image, y0, y1 int, row func(y int) []tint) {
	w, h := m.Size()
	var ring [2*reach + 1][3][]float32
	var sharp [3][]float32
	for c := range sharp {
		sharp[c] = make([]float32, w+2*reach)
		for k := range ring {
			ring[k][c] = make([]float32, w)
		}
	}
	ready := max(y0-reach, 0)
	for y := y0; y < y1; y++ {
		for ; ready <= min(y+reach, h-1); ready++ {
			colour.LabRow(sharp[0][reach:][:w], sharp[1][reach:][:w], sharp[2][reach:][:w], m.R.Row(ready), m.G.Row(ready), m.B.Row(ready))
			for c := range sharp {
				smoothAcross(ring[ready%len(ring)][c], sharp[c])
			}
		}
		var rows [2*reach + 1]*[3][]float32
		for k := range rows {
			rows[k] = &ring[min(max(y+k-reach, 0), h-1)%len(ring)]
		}
		to := row(y)
		for c := range 3 {
			a, b, d, e := rows[3][c][:w], [2][]float32{rows[2][c], rows[4][c]}, [2][]float32{rows[1][c], rows[5][c]}, [2][]float32{rows[0][c], rows[6][c]}
			for x := range to {
				to[x][c] = taps[0]*a[x] + taps[1]*(b[0][x]+b[1][x]) + taps[2]*(d[0][x]+d[1][x]) + taps[3]*(e[0][x]+e[1][x])
			}
		}
	}
}

// smoothAcross smooths a row; src has reach samples more on both sides, of any value.
func smoothAcross(dst, src []float32) {
	for k := range reach {
		src[k], src[len(src)-1-k] = src[reach], src[len(src)-1-reach]
	}
	for x := range dst {
		l := src[x : x+7]
		dst[x] = taps[0]*l[3] + taps[1]*(l[2]+l[4]) + taps[2]*(l[1]+l[5]) + taps[3]*(l[0]+l[6])
	}
}

// lost reports whether nothing of what is to be found lies inside, or all of it.
func (g *ground) lost() bool {
	in, all := 0, 0
	for i, p := range g.place {
		if p == undecided {
			all++
			if g.found[i] {
				in++
			}
		}
	}
	return in == 0 || in == all
}
