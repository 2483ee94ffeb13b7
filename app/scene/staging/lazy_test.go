package staging

import (
	"cmp"
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/mask"
)

// A lazy outline is drawn as a person does who is in a hurry: about the truth closed by 20
// pixels and grown by 7 or, where a straight line cuts it, more; with at most 12 vertices a
// part, each up to 5 pixels off; 99.5 % of the truth covered.
const (
	lazyClose, lazyGrow    = 20, 7
	lazyVertices, lazyMiss = 12, 5
	lazyCovers             = 0.995
	lazyLeast              = 150 // pixels of a part
)

// lazyOutlines draws outlines about the parts of a truth.
func lazyOutlines(t *testing.T, truth colour.Plane, seed uint64) (shapes []mask.Shape) {
	r := rand.New(rand.NewPCG(seed, 77))
	is := filledOf(truth)
	w, h := truth.W, truth.H
	closed := grownBy(grownBy(is, w, h, lazyClose), w, h, -lazyClose)
	for _, part := range partsOf(closed, w, h) {
		for grow := float64(lazyGrow); ; grow++ {
			points := fewVertices(borderOf(grownBy(part, w, h, grow), w, h), lazyVertices)
			for i := range points {
				a, d := 2*math.Pi*r.Float64(), lazyMiss*math.Sqrt(r.Float64())
				points[i].X += d * math.Cos(a)
				points[i].Y += d * math.Sin(a)
			}
			s := mask.Shape{Points: points, Opacity: 1}
			if covers(t, s, part, is, w, h) {
				shapes = append(shapes, s)
				break
			}
		}
	}
	return shapes
}

// covers tells whether a shape covers what is of a part.
func covers(t *testing.T, s mask.Shape, part, is []bool, w, h int) bool {
	var p colour.Plane
	require.NoError(t, s.Draw(t.Context(), &p, mask.Whole(w, h), 1))
	all, in := 0., 0.
	for i := range is {
		if part[i] && is[i] {
			all++
			in += float64(p.Pix[i])
		}
	}
	return in >= lazyCovers*all
}

// grownBy grows or, below 0, shrinks by a disc. Beyond the frame is as at its border.
func grownBy(is []bool, w, h int, by float64) []bool {
	out := slices.Clone(is)
	n := int(math.Abs(by))
	var disc []image.Point
	for y := -n; y <= n; y++ {
		for x := -n; x <= n; x++ {
			if float64(x*x+y*y) <= by*by {
				disc = append(disc, image.Pt(x, y))
			}
		}
	}
	grow := by > 0
	for y := range h {
		for x := range w {
			if is[y*w+x] != grow {
				continue
			}
			rim := false
			for _, d := range []image.Point{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				p := image.Pt(x, y).Add(d)
				if p.In(image.Rect(0, 0, w, h)) && is[p.Y*w+p.X] != grow {
					rim = true
				}
			}
			if !rim {
				continue
			}
			for _, d := range disc {
				if p := image.Pt(x, y).Add(d); p.In(image.Rect(0, 0, w, h)) {
					out[p.Y*w+p.X] = grow
				}
			}
		}
	}
	return out
}

// partsOf are the connected parts, by 4 neighbours.
func partsOf(is []bool, w, h int) (parts [][]bool) {
	seen := make([]bool, len(is))
	for start := range is {
		if !is[start] || seen[start] {
			continue
		}
		part := make([]bool, len(is))
		stack := []int{start}
		seen[start] = true
		n := 0
		for len(stack) > 0 {
			i := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			part[i] = true
			n++
			for _, j := range []int{i - 1, i + 1, i - w, i + w} {
				if j >= 0 && j < w*h && (j/w == i/w || j%w == i%w) && is[j] && !seen[j] {
					seen[j] = true
					stack = append(stack, j)
				}
			}
		}
		if n >= lazyLeast {
			parts = append(parts, part)
		}
	}
	return parts
}

// borderOf is the longest border along the pixels' sides.
func borderOf(is []bool, w, h int) (longest []mask.Point) {
	at := func(x, y int) bool { return x >= 0 && y >= 0 && x < w && y < h && is[y*w+x] }
	next := map[[2]int][][2]int{}
	add := func(x0, y0, x1, y1 int) { next[[2]int{x0, y0}] = append(next[[2]int{x0, y0}], [2]int{x1, y1}) }
	for y := range h {
		for x := range w {
			if !at(x, y) {
				continue
			}
			if !at(x, y-1) {
				add(x, y, x+1, y)
			}
			if !at(x+1, y) {
				add(x+1, y, x+1, y+1)
			}
			if !at(x, y+1) {
				add(x+1, y+1, x, y+1)
			}
			if !at(x-1, y) {
				add(x, y+1, x, y)
			}
		}
	}
	starts := make([][2]int, 0, len(next))
	for k := range next {
		starts = append(starts, k)
	}
	slices.SortFunc(starts, func(a, b [2]int) int { return cmp.Or(a[1]-b[1], a[0]-b[0]) })
	for _, start := range starts {
		var loop []mask.Point
		for p := start; len(next[p]) > 0; {
			q := next[p][0]
			next[p] = next[p][1:]
			loop = append(loop, mask.Point{X: float64(p[0]), Y: float64(p[1])})
			p = q
		}
		if len(loop) > len(longest) {
			longest = loop
		}
	}
	return longest
}

// fewVertices keeps the corners of a closed line that matter most (D. H. Douglas & T. K.
// Peucker 1973), so many at most.
func fewVertices(line []mask.Point, most int) []mask.Point {
	for tolerance := 1.; ; tolerance *= 1.15 {
		far, from := 0., 0
		for i, p := range line {
			if d := math.Hypot(p.X-line[0].X, p.Y-line[0].Y); d > far {
				far, from = d, i
			}
		}
		out := append(simplified(line[:from+1], tolerance), simplified(append(slices.Clone(line[from:]), line[0]), tolerance)...)
		if len(out) <= most {
			return out
		}
	}
}

// simplified keeps the first point and those between, not the last.
func simplified(line []mask.Point, tolerance float64) []mask.Point {
	a, b := line[0], line[len(line)-1]
	far, at := 0., 0
	for i, p := range line {
		d := math.Hypot(p.X-a.X, p.Y-a.Y)
		if n := math.Hypot(b.X-a.X, b.Y-a.Y); n > 0 {
			d = math.Abs((p.X-a.X)*(b.Y-a.Y)-(p.Y-a.Y)*(b.X-a.X)) / n
		}
		if d > far {
			far, at = d, i
		}
	}
	if far <= tolerance || at == 0 || at == len(line)-1 {
		return []mask.Point{a}
	}
	return append(simplified(line[:at+1], tolerance), simplified(line[at:], tolerance)...)
}

// eroded is a mask shrunk by a disc.
func eroded(p colour.Plane, by float64) colour.Plane {
	out := colour.NewPlane(p.W, p.H)
	for i, in := range grownBy(filledOf(p), p.W, p.H, -by) {
		if in {
			out.Pix[i] = 1
		}
	}
	return out
}

func filledOf(p colour.Plane) []bool {
	is := make([]bool, len(p.Pix))
	for i, v := range p.Pix {
		is[i] = v > 0.5
	}
	return is
}

// eachSeed tests the scenes of seeds 1 to n, several at once.
func eachSeed(t *testing.T, n int, test func(t *testing.T, seed int)) {
	t.Run("seeds", func(t *testing.T) {
		for seed := 1; seed <= n; seed++ {
			t.Run(strconv.Itoa(seed), func(t *testing.T) {
				t.Parallel()
				test(t, seed)
			})
		}
	})
}
