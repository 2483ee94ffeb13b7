package seam

import "math"

// A sideSum is the sums of L*, a* and b* over pixels of one side of an outline,
// and the number of these.
type sideSum [4]float32

// A grid holds sums of colours inside and outside an outline for the squares
// of a coarse grid.
type grid struct {
	w, h int
	sums [][2]sideSum // inside, outside
}

func newGrid(w, h int) grid { return grid{w, h, make([][2]sideSum, w*h)} }

// add adds a pixel's colour in square (x,y). Rows of squares may be added to at
// the same time.
func (g *grid) add(side, x, y int, lab [3]float32) {
	s := &g.sums[y*g.w+x][side]
	for c, v := range lab {
		s[c] += v
	}
	s[3]++
}

// blur spreads the sums by a Gaussian of sigma squares, cut at 3 sigma, whose
// weights sum to 1.
func (g *grid) blur(sigma float64) {
	kernel := make([]float32, int(3*sigma)+1)
	sum := 0.0
	for i := range kernel {
		kernel[i] = float32(math.Exp(-float64(i*i) / (2 * sigma * sigma)))
		sum += float64(kernel[i])
	}
	sum = 2*sum - 1
	for i := range kernel {
		kernel[i] = float32(float64(kernel[i]) / sum)
	}
	along := make([][2]sideSum, len(g.sums))
	for y := range g.h {
		spreadAlong(along[y*g.w:(y+1)*g.w], g.sums[y*g.w:(y+1)*g.w], 1, kernel)
	}
	clear(g.sums)
	for x := range g.w {
		spreadAlong(g.sums[x:], along[x:], g.w, kernel)
	}
}

// spreadAlong adds to dst, stride apart, what each entry of src gives to its neighbours.
func spreadAlong(dst, src [][2]sideSum, stride int, kernel []float32) {
	n := (len(src) + stride - 1) / stride
	for i := range n {
		from := &src[i*stride]
		if from[0][3] == 0 && from[1][3] == 0 {
			continue
		}
		for j := max(0, i-len(kernel)+1); j < min(n, i+len(kernel)); j++ {
			k, to := kernel[max(i-j, j-i)], &dst[j*stride]
			for side := range to {
				for c, v := range from[side] {
					to[side][c] += float32(k * v)
				}
			}
		}
	}
}

// row writes to old the sums between the rows of squares about y, eight for each
// column of squares.
func (g *grid) row(old []float32, y float64) []float32 {
	y0, part := between(y, g.h)
	y1 := min(y0+1, g.h-1)
	old = old[:0]
	for x := range g.w {
		upper, lower := &g.sums[y0*g.w+x], &g.sums[y1*g.w+x]
		for side := range upper {
			for c, v := range upper[side] {
				old = append(old, v+float32(part*(lower[side][c]-v)))
			}
		}
	}
	return old
}

// at returns the sums at x of a row that row has made.
func (g *grid) at(row []float32, x float64) (local [2]sideSum) {
	x0, part := between(x, g.w)
	left, right := row[8*x0:][:8], row[8*min(x0+1, g.w-1):][:8]
	for i, v := range left {
		local[i/4][i%4] = v + float32(part*(right[i]-v))
	}
	return local
}

// between returns the square at or before x, and how far x lies from its centre
// to the next one's, both clamped to the n squares there are.
func between(x float64, n int) (first int, part float32) {
	x = min(max(x, 0), float64(n-1))
	first = int(x)
	return first, float32(x - float64(first))
}
