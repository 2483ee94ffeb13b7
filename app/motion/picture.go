package motion

import (
	"context"
	"errors"
	"fmt"

	"halocline/colour"
)

const (
	// finestLines is the most lines at which flow is worked out. Twice as many take
	// four times as long, which 2160 lines cannot afford.
	finestLines = 540
	// coarsestSide is the shortest side a level may have: two patches. On 1080 lines
	// a pixel of the coarsest level is then 32 pixels of the frame.
	coarsestSide = 2 * patchSide
	// margin is how far a level's border pixels are repeated about it, so that a patch
	// which leaves the picture by its own size can be read without asking.
	margin = patchSide + 4
	// codes is what luma is multiplied by: thresholds are those of 8-bit codes.
	codes = 255
	// brightest is where luma is cut off on both sides of 0, so that sums of squares
	// stay finite.
	brightest = 16
)

// A Picture is what flow reads of one frame: the luma's pyramid with gradients. It is
// made once and serves both directions and both neighbours. It is never written again,
// so that several goroutines may read it.
type Picture struct {
	w, h   int     // of the frame
	scale  int     // pixels of the frame on a side of a pixel of the finest level
	levels []level // the finest first
}

// level is a size of the picture in 8-bit codes, with margin pixels about it.
type level struct {
	w, h, stride int
	pix, gx, gy  []float32 // gradients in codes a pixel
}

func newLevel(w, h int) level {
	l := level{w: w, h: h, stride: w + 2*margin}
	n := l.stride * (h + 2*margin)
	l.pix, l.gx, l.gy = make([]float32, n), make([]float32, n), make([]float32, n)
	return l
}

// index is where pixel (x,y) is; both may be up to margin outside.
func (l *level) index(x, y int) int { return (y+margin)*l.stride + x + margin }

// row returns the w pixels of row y.
func (l *level) row(of []float32, y int) []float32 { return of[l.index(0, y):][:l.w] }

// NewPicture makes the Picture of a frame from its luma, display encoded, in [0,1]
// (beyond ±16 it is cut off), over workers goroutines (0 = one for each processor). It
// keeps nothing of luma. An empty plane and a sample that is no finite number are
// errors; so is a ctx that ends.
func NewPicture(ctx context.Context, luma colour.Plane, workers int) (*Picture, error) {
	if luma.W <= 0 || luma.H <= 0 {
		return nil, fmt.Errorf("motion: the picture has %d x %d pixels, want at least 1 x 1", luma.W, luma.H)
	}
	if len(luma.Pix) != luma.W*luma.H {
		panic("motion: the plane's samples are not W*H")
	}
	p := &Picture{w: luma.W, h: luma.H, scale: 1}
	for luma.H > finestLines {
		half := colour.NewPlane((luma.W+1)/2, (luma.H+1)/2)
		if err := halve(ctx, workers, half, luma); err != nil {
			return nil, err
		}
		luma, p.scale = half, 2*p.scale
	}
	for {
		l := newLevel(luma.W, luma.H)
		if err := l.fill(ctx, workers, luma); err != nil {
			return nil, err
		}
		p.levels = append(p.levels, l)
		half := colour.NewPlane((luma.W+1)/2, (luma.H+1)/2)
		if min(half.W, half.H) < coarsestSide {
			return p, nil
		}
		if err := halve(ctx, workers, half, luma); err != nil {
			return nil, err
		}
		luma = half
	}
}

// halve writes the means of 2 x 2 pixels; an odd last column or row counts twice.
func halve(ctx context.Context, workers int, dst, src colour.Plane) error {
	return colour.EachBand(ctx, workers, dst.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			halveRow(dst.Row(y), src.Row(2*y), src.Row(min(2*y+1, src.H-1)))
		}
	})
}

func halveRow(to, upper, lower []float32) {
	pairs := len(upper) / 2
	for x := range to[:pairs] {
		a, b := upper[2*x:][:2], lower[2*x:][:2]
		to[x] = ((a[0] + a[1]) + (b[0] + b[1])) * 0.25
	}
	if pairs < len(to) {
		last := len(upper) - 1
		to[pairs] = (upper[last] + lower[last]) * 0.5
	}
}

var errNotFinite = errors.New("motion: luma has a sample that is not a finite number, want values in [0,1]")

// fill takes luma in and works out the gradients.
func (l *level) fill(ctx context.Context, workers int, luma colour.Plane) error {
	bad := make([]bool, (l.h+colour.BandRows-1)/colour.BandRows)
	err := colour.EachBand(ctx, workers, l.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			if !toCodes(l.row(l.pix, y), luma.Row(y)) {
				bad[y0/colour.BandRows] = true
			}
			l.extendRow(l.pix, y)
		}
	})
	if err != nil {
		return err
	}
	for _, b := range bad {
		if b {
			return errNotFinite
		}
	}
	l.extendColumns(l.pix)
	return l.differentiate(ctx, workers)
}

// toCodes tells whether all of luma is finite.
func toCodes(to, luma []float32) bool {
	finite := true
	to = to[:len(luma)]
	for x, v := range luma {
		if v-v != 0 {
			finite = false
		}
		if v > brightest {
			v = brightest
		} else if v < -brightest {
			v = -brightest
		}
		to[x] = codes * v
	}
	return finite
}

func (l *level) differentiate(ctx context.Context, workers int) error {
	err := colour.EachBand(ctx, workers, l.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			i := l.index(0, y)
			gx, gy := l.gx[i:][:l.w], l.gy[i:][:l.w]
			left, right := l.pix[i-1:][:l.w], l.pix[i+1:][:l.w]
			up, down := l.pix[i-l.stride:][:l.w], l.pix[i+l.stride:][:l.w]
			for x := range gx {
				gx[x] = (right[x] - left[x]) * 0.5
				gy[x] = (down[x] - up[x]) * 0.5
			}
			l.extendRow(l.gx, y)
			l.extendRow(l.gy, y)
		}
	})
	l.extendColumns(l.gx)
	l.extendColumns(l.gy)
	return err
}

// extendRow repeats the first and the last pixel of row y into the margins.
func (l *level) extendRow(of []float32, y int) {
	i := l.index(0, y)
	for m := 1; m <= margin; m++ {
		of[i-m], of[i+l.w-1+m] = of[i], of[i+l.w-1]
	}
}

// extendColumns repeats the first and the last row, with their margins.
func (l *level) extendColumns(of []float32) {
	first, last := of[margin*l.stride:][:l.stride], of[(margin+l.h-1)*l.stride:][:l.stride]
	for m := range margin {
		copy(of[m*l.stride:][:l.stride], first)
		copy(of[(margin+l.h+m)*l.stride:][:l.stride], last)
	}
}
