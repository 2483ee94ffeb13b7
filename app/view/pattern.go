package view

import (
	"halocline/selection"
)

// Drawing is the version of what is drawn over a picture. It rises with every change
// that alters a byte of it.
const Drawing = 4

// Patterns are drawn on the view's own pixels, so that they are equally fine at
// any zoom, and begin at its corner, so that they stand still while the picture
// is moved. All greys are display encoded, of 255.
const surround = 0x40

// A code is a sample of a finished picture: 8 bits for the screen, 8 or 16 for a
// file. Both are drawn by the same functions. A pixel is R, G, B and the largest
// code.
type code interface{ uint8 | uint16 }

// full is the largest code.
func full[T code]() uint32 { return uint32(^T(0)) }

// grey is a grey, of 255, in codes.
func grey[T code](v uint8) T { return T(uint32(v) * (full[T]() / 255)) }

// fill writes grey pixels.
func fill(dst []uint8, grey uint8) {
	for ; len(dst) >= 4; dst = dst[4:] {
		setGrey(dst, grey)
	}
}

func setGrey[T code](dst []T, v T) {
	dst = dst[:4:4]
	dst[0], dst[1], dst[2], dst[3] = v, v, v, ^T(0)
}

// mix is a parts of v, of all there are, and the rest of w.
func mix[T code](v, w, a T) T {
	return T((uint32(v)*uint32(a) + uint32(w)*(full[T]()-uint32(a)) + full[T]()/2) / full[T]())
}

// A line is a row of pixels on which a view is drawn.
type line[T code] struct {
	pix     []T                // the picture
	weights []T                // of the matte
	reasons []selection.Reason // of the row of samples that lies there
	near    []int32            // which of them is whose
	x, y    int                // where it begins in the view
}

// draw makes the picture, shown or graded, the view.
func (l line[T]) draw(v View) {
	switch v {
	case Matte:
		matteRow(l.pix, l.weights)
	case Hatch:
		hatchRow(l.pix, l.weights, l.x, l.y)
	case Cutout:
		cutoutRow(l.pix, l.weights, l.x, l.y)
	case Reasons:
		reasonsRow(l.pix, l.reasons, l.near, l.x, l.y)
	}
}

func matteRow[T code](dst, matte []T) {
	for i, v := range matte {
		setGrey(dst[4*i:], v)
	}
}

// The hatch: pairs of diagonal lines, one darker and one lighter than what lies
// under them, so that they show on any ground and shift no hue.
const (
	hatchEvery = 6 // px from pair to pair, along the row
	hatchDark  = 5 // tenths of the way to black, that the dark line goes
	hatchLight = 2 // tenths of the way to white, that the light line goes
)

// hatchRow lays the hatch over dst, the picture, in proportion to what the matte
// leaves out. The row begins at (x,y) of the view.
func hatchRow[T code](dst, matte []T, x, y int) {
	lines := func(first int, to T, tenths uint32) {
		share := (tenths*full[T]() + 5) / 10
		for i := first; i < len(matte); i += hatchEvery {
			a := T((share*(full[T]()-uint32(matte[i])) + full[T]()/2) / full[T]())
			p := dst[4*i : 4*i+3 : 4*i+3]
			p[0], p[1], p[2] = mix(to, p[0], a), mix(to, p[1], a), mix(to, p[2], a)
		}
	}
	first := (hatchEvery - (x+y)%hatchEvery) % hatchEvery
	lines(first, 0, hatchDark)
	lines((first+1)%hatchEvery, ^T(0), hatchLight)
}

// The dashes that lie under a cut-out.
const (
	cutGround, cutDash = 0x21, 0x2f
	dashLong           = 5  // px
	dashEvery          = 12 // px, along the row
	dashRows           = 4  // px from row to row; every other is shifted by half
)

func dashed(x, y int) bool {
	return y%dashRows == 1 && (x+y/dashRows%2*dashEvery/2)%dashEvery < dashLong
}

// cutoutRow lays the picture in dst over the dashes, by the weight of the matte.
func cutoutRow[T code](dst, matte []T, x, y int) {
	for i, a := range matte {
		if a == ^T(0) {
			continue
		}
		under := grey[T](cutGround)
		if dashed(x+i, y) {
			under = grey[T](cutDash)
		}
		p := dst[4*i : 4*i+3 : 4*i+3]
		p[0], p[1], p[2] = mix(p[0], under, a), mix(p[1], under, a), mix(p[2], under, a)
	}
}

// How rejected pixels are drawn: their mean, kept dull so that what is in stands
// out, and lifted under a mark.
const (
	rejectedShare = 30 // of 3 x 256: 0.35 of the mean
	rejectedFloor = 20
	markLift      = 36
)

// reasonsTile is what all patterns of reasons repeat after, both ways.
const reasonsTile = 16

// reasonLift is how much a pixel is lifted, by reason, row and column.
var reasonLift = func() (lift [selection.ReasonCount][reasonsTile][reasonsTile]uint8) {
	for r := range lift {
		for y := range reasonsTile {
			for x := range reasonsTile {
				if marked(selection.Reason(r), x, y) {
					lift[r][y][x] = markLift
				}
			}
		}
	}
	return lift
}()

// marked reports whether a pixel bears its reason's pattern: upright lines for
// hue, level lines for saturation or chroma, dots for lightness, a wide lattice
// for masks, small checks for the edge, broad stripes that rise to the right for joined mattes,
// level zigzags beyond a found edge.
func marked(r selection.Reason, x, y int) bool {
	switch u, v := x%8, y%8; r {
	case selection.ByHue:
		return u%4 < 2
	case selection.BySat:
		return v%4 < 2
	case selection.ByLight:
		return u/2 == 1 && v/2 == 1 || u/2 == 3 && v/2 == 3
	case selection.ByMask:
		return (x+y)%reasonsTile == 0 || (x-y)%reasonsTile == 0
	case selection.ByEdge:
		return (x/2+y/2)%2 == 0
	case selection.ByJoin:
		return (x+y)%8 < 4
	case selection.ByFound:
		return (y+max(u-4, 4-u))%8 < 3
	}
	return false
}

// reasonsRow turns the picture in dst to grey under a pattern where a reason
// rejects it. near says which of the reasons is whose.
func reasonsRow[T code](dst []T, reasons []selection.Reason, near []int32, x, y int) {
	y %= reasonsTile
	for i, n := range near {
		why := reasons[n]
		if why == selection.In || int(why) >= selection.ReasonCount {
			continue
		}
		p := dst[4*i : 4*i+4 : 4*i+4]
		v := grey[T](rejectedFloor) + T(((uint32(p[0])+uint32(p[1])+uint32(p[2]))*rejectedShare+128)>>8)
		setGrey(p, v+grey[T](reasonLift[why][y][(x+i)%reasonsTile]))
	}
}

// Plus signs over what is beyond repair.
const (
	plusEvery = 10 // px from middle to middle
	plusArm   = 2  // px on either side of the middle
	plusGrey  = 0xec
)

// plusRow draws the plus signs whose middle, once in each square of plusEvery
// pixels, lies on a pixel that is beyond repair. beyond is the row of samples
// under the middles, which are in row plusMiddle(y).
func plusRow[T code](dst []T, beyond []bool, near []int32, x, y int) {
	arm := 0
	if y == plusMiddle(y) {
		arm = plusArm
	}
	if max(y, plusMiddle(y))-min(y, plusMiddle(y)) > plusArm {
		return
	}
	first := plusMiddle(x) - x
	for mid := first; mid < len(near)+plusArm; mid += plusEvery {
		if mid < 0 || mid >= len(near) || !beyond[near[mid]] {
			continue
		}
		for i := max(mid-arm, 0); i <= min(mid+arm, len(near)-1); i++ {
			setGrey(dst[4*i:], grey[T](plusGrey))
		}
	}
}

// plusMiddle is the middle of the square a row or column of the view lies in.
func plusMiddle(at int) int { return at - at%plusEvery + plusEvery/2 }
