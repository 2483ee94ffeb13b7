package settle

import (
	"context"
	"image"

	"halocline/app/motion"
	"halocline/colour"
)

// A Side is a frame beside the one that settles.
type Side struct {
	Matte    motion.Part
	To, Back *motion.Flow // from the frame that settles to this one, and back
}

// Mean makes dst the mean of own and the sides, with share in [0,1] as in the package's
// comment. The sides' mattes must show all that Reach tells, and have own's step. dst gets
// own's size; it must not be own or a side. An error is that of a ctx that ended; dst is then
// undefined.
func Mean(ctx context.Context, dst *colour.Plane, own motion.Part, sides []Side, share float64, workers int) error {
	dst.Reshape(own.W, own.H)
	m := mean{own: own, sides: sides, share: float32(share), of: make([]tiles, len(sides))}
	var err error
	if m.ofOwn, err = tilesOf(ctx, own.Plane, workers); err != nil {
		return err
	}
	for i, s := range sides {
		if m.of[i], err = tilesOf(ctx, s.Matte.Plane, workers); err != nil {
			return err
		}
	}
	var rooms colour.Pool[room]
	return colour.EachStrip(ctx, workers, own.H, tileSide, func(y0, y1 int) {
		r := rooms.Take()
		r.reshape(len(sides))
		copy(dst.Pix[y0*dst.W:y1*dst.W], own.Pix[y0*dst.W:])
		for x := range tileCount(own.W) {
			if tile := tileAt(own.Plane, x, y0/tileSide); !m.stays(tile) {
				for y := y0; y < y1; y++ {
					m.settle(dst.Row(y)[tile.Min.X:tile.Max.X], tile.Min.X, y, r)
				}
			}
		}
		rooms.Give(r)
	})
}

// A mean is one call of Mean.
type mean struct {
	own   motion.Part
	sides []Side
	share float32
	ofOwn tiles
	of    []tiles // of the sides
}

// stays reports whether a tile is the same all over in own and wherever it is carried from.
func (m *mean) stays(tile image.Rectangle) bool {
	a := m.own.At(tile.Min.X, tile.Min.Y)
	if !m.ofOwn.all(tile, a) {
		return false
	}
	for i := range m.sides {
		s := &m.sides[i]
		from := m.own.Targets(s.To, tile).Sub(s.Matte.Min)
		if !m.of[i].all(onto(from, image.Rect(0, 0, s.Matte.W, s.Matte.H)), a) {
			return false
		}
	}
	return true
}

// A room holds, for a row of a tile, the motion to each side and the side's matte carried.
type room []struct{ u, v, carried [tileSide]float32 }

func (r *room) reshape(sides int) { *r = colour.Resized(*r, sides) }

// settle makes out, which has own's alpha, the mean: samples of row y from x0 on.
func (m *mean) settle(out []float32, x0, y int, r *room) {
	for i := range m.sides {
		s, to := &m.sides[i], &(*r)[i]
		m.own.Motion(s.To, to.u[:len(out)], to.v[:len(out)], x0, y)
		for x := range out {
			to.carried[x] = s.Matte.Read(m.own.Target(x0+x, y, to.u[x], to.v[x]))
		}
	}
	for x, a := range out {
		if !r.differs(x, a) {
			continue
		}
		sum, off := float32(1), float32(0)
		for i := range m.sides {
			of := &(*r)[i]
			w := float32(m.share * weight(m.own.Miss(m.sides[i].Back, x0+x, y, of.u[x], of.v[x])))
			sum += w
			off += float32(w * (of.carried[x] - a))
		}
		out[x] += off / sum
	}
}

// differs reports whether any side has another alpha at x than a.
func (r *room) differs(x int, a float32) bool {
	for i := range *r {
		if (*r)[i].carried[x] != a {
			return true
		}
	}
	return false
}
