package colour

import "context"

// A Grade is a CDL ready to run over pictures. Up to a saturation of 4 it is
// within 1e-6 of CDL.Colour; every build and machine gives the same bits. It may
// be used from several goroutines.
type Grade struct {
	neutral    bool
	saturation float64
	channel    [3]cdlChannel
	rows       Pool[gradeRow]
}

// A gradeRow holds a stretch of a row after line and power.
type gradeRow [3][]float64

// Grade returns d ready to run, or the error of Check.
func (d CDL) Grade() (*Grade, error) {
	if err := d.Check(); err != nil {
		return nil, err
	}
	g := &Grade{neutral: d.IsNeutral(), saturation: d.Saturation}
	for c := range g.channel {
		k := &g.channel[c]
		k.slope, k.offset = d.Slope[c], d.Offset[c]
		if c > 0 && d.Power[c] == d.Power[c-1] {
			k.power = g.channel[c-1].power
		} else {
			k.power = newPowerTable(d.Power[c])
		}
	}
	return g, nil
}

// Apply is Grade.Apply for a CDL that runs once.
func (d CDL) Apply(ctx context.Context, dst, src *Image, workers int) error {
	g, err := d.Grade()
	if err != nil {
		return err
	}
	return g.Apply(ctx, dst, src, workers)
}

// Apply writes src after the grade to dst, which is made its size and may be src.
// A neutral grade copies the bits.
func (g *Grade) Apply(ctx context.Context, dst, src *Image, workers int) error {
	w, h := src.Size()
	dst.Reshape(w, h)
	return EachBand(ctx, workers, h, func(y0, y1 int) {
		row := g.rows.Take()
		defer g.rows.Give(row)
		for y := y0; y < y1; y++ {
			out, in := rowsOf(dst, y), rowsOf(src, y)
			if g.neutral {
				copyRows(out, in)
				continue
			}
			g.fill(row, in)
			for c, v := range row {
				to := out[c][:len(v)]
				for x, v := range v {
					to[x] = float32(v)
				}
			}
		}
	})
}

// Through writes src graded through a matte to dst, which is made its size and
// may be src: src + alpha (graded - src). matte has src's size and values in
// [0,1]; where it is 0 the bits are copied, and so they are by a neutral grade.
func (g *Grade) Through(ctx context.Context, dst, src *Image, matte Plane, workers int) error {
	if !src.R.SameSize(matte) {
		panic("colour: matte of another size than the picture")
	}
	w, h := src.Size()
	dst.Reshape(w, h)
	return EachBand(ctx, workers, h, func(y0, y1 int) {
		row := g.rows.Take()
		defer g.rows.Give(row)
		for y := y0; y < y1; y++ {
			out, in, alpha := rowsOf(dst, y), rowsOf(src, y), matte.Row(y)
			copyRows(out, in)
			for x, end := 0, 0; !g.neutral && x < w; x = end {
				if x, end = keptRun(alpha, x); x < end {
					g.blend(row, cutRow(out, x, end), alpha[x:end])
				}
			}
		}
	})
}

// keptRun returns the next run of pixels from x on that a matte keeps any of;
// both are the row's end where there is none.
func keptRun(alpha []float32, x int) (start, end int) {
	for x < len(alpha) && !(alpha[x] > 0) {
		x++
	}
	end = x
	for end < len(alpha) && alpha[end] > 0 {
		end++
	}
	return x, end
}

// blend grades the pixels of a row in place, each by its alpha.
func (g *Grade) blend(row *gradeRow, pixels pixelRows, alpha []float32) {
	g.fill(row, pixels)
	for c, v := range row {
		to := pixels[c][:len(alpha)]
		v = v[:len(alpha)]
		for x, a := range alpha {
			from := float64(to[x])
			to[x] = float32(from + float64(float64(a)*(v[x]-from)))
		}
	}
}

// fill makes row what the grade makes of pixels.
func (g *Grade) fill(row *gradeRow, pixels pixelRows) {
	n := len(pixels[0])
	for c := range row {
		row[c] = Resized(row[c], n)
		g.channel[c].run(row[c], pixels[c])
	}
	if g.saturation == 1 {
		return
	}
	r, green, b := row[0][:n], row[1][:n], row[2][:n]
	s := g.saturation
	for x := range r {
		y := float64(cdlLuma[0]*r[x]) + float64(cdlLuma[1]*green[x]) + float64(cdlLuma[2]*b[x])
		r[x] = clamp01(y + float64(s*(r[x]-y)))
		green[x] = clamp01(y + float64(s*(green[x]-y)))
		b[x] = clamp01(y + float64(s*(b[x]-y)))
	}
}

// pixelRows are a stretch of a row's R, G and B.
type pixelRows [3][]float32

func rowsOf(m *Image, y int) pixelRows { return pixelRows{m.R.Row(y), m.G.Row(y), m.B.Row(y)} }

func cutRow(p pixelRows, from, to int) pixelRows {
	return pixelRows{p[0][from:to], p[1][from:to], p[2][from:to]}
}

func copyRows(dst, src pixelRows) {
	for c := range dst {
		copy(dst[c], src[c])
	}
}
