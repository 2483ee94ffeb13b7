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

// Mean makes dst the mean of own and the sides, whose shares in [0,1] are those of the
// package's comment. Matte must show all that Reach tells, and have own's step. dst gets
// own's size; it must not be own or a side. An error is that of a ctx that ended; dst is then
// undefined.
func Mean(ctx context.Context, dst *colour.Plane, own motion.Part, sides []Side, share float64, workers int) error {
	dst.Reshape(own.W, own.H)
	var lines colour.Pool[line]
	return colour.EachBand(ctx, workers, own.H, func(y0, y1 int) {
		l := lines.Take()
		for y := y0; y < y1; y++ {
			l.settle(dst.Row(y), own, sides, float32(share), y)
		}
		lines.Give(l)
	})
}

// A line has room for what one row is made of: of each side its motion, and its matte carried.
type line struct{ sides [][3][]float32 }

func (l *line) reshape(sides, w int) {
	l.sides = colour.Resized(l.sides, sides)
	for i := range l.sides {
		for k := range l.sides[i] {
			l.sides[i][k] = colour.Resized(l.sides[i][k], w)
		}
	}
}

// settle makes out row y of the mean.
func (l *line) settle(out []float32, own motion.Part, sides []Side, share float32, y int) {
	l.reshape(len(sides), own.W)
	for i, s := range sides {
		u, v, carried := l.sides[i][0], l.sides[i][1], l.sides[i][2]
		own.Motion(s.To, u, v, y)
		for x := range carried {
			carried[x] = s.Matte.Read(own.Target(x, y, u[x], v[x]))
		}
	}
	for x, a := range own.Row(y) {
		out[x] = a
		if !l.differs(x, a) {
			continue
		}
		sum, off := float32(1), float32(0)
		for i, s := range sides {
			side := &l.sides[i]
			w := share * weight(own.Miss(s.Back, x, y, side[0][x], side[1][x]))
			sum += w
			off += float32(w * (side[2][x] - a))
		}
		out[x] += off / sum
	}
}

// differs reports whether any side has another alpha at x than a.
func (l *line) differs(x int, a float32) bool {
	for i := range l.sides {
		if l.sides[i][2][x] != a {
			return true
		}
	}
	return false
}

// Reach returns the samples of a side that a part of a matte is carried from, by the motion to
// that side: the part is of the whole plane, a sample of which stands for step x step pixels.
func Reach(ctx context.Context, part, whole image.Rectangle, step int, to *motion.Flow, workers int) (image.Rectangle, error) {
	at := motion.Part{Plane: colour.Plane{W: part.Dx(), H: part.Dy()}, Min: part.Min, Step: step}
	rows := make([]image.Rectangle, part.Dy())
	err := colour.EachBand(ctx, workers, len(rows), func(y0, y1 int) {
		u, v := make([]float32, at.W), make([]float32, at.W)
		for y := y0; y < y1; y++ {
			at.Motion(to, u, v, y)
			for x := range u {
				tx, ty := at.Target(x, y, u[x], v[x])
				rows[y] = rows[y].Union(readAt(tx, ty, whole))
			}
		}
	})
	var all image.Rectangle
	for _, r := range rows {
		all = all.Union(r)
	}
	return all, err
}

// readAt are the samples of a whole plane, which begins at (0,0), that Read takes at a place.
func readAt(x, y float32, whole image.Rectangle) image.Rectangle {
	at := image.Pt(int(min(max(x, 0), float32(whole.Max.X-1))), int(min(max(y, 0), float32(whole.Max.Y-1))))
	return image.Rectangle{Min: at, Max: at.Add(image.Pt(2, 2))}.Intersect(whole)
}
