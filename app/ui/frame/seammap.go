package frame

import (
	"fmt"
	"image"
	"math"

	"halocline/app/check/seam"
	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/view"
)

// A seamMap draws where along its outline a graded matte shows: a band about the
// outline, as wide as the seam misfits there. Its two borders are drawn alone, so
// that the edge between them can be seen. It is kept until what it is made of
// changes.
type seamMap struct {
	of    seamMapOf
	light []int32 // offsets of the borders' pixels in a picture of the view
	dark  []int32 // of the rim around them
	worst ink.Pt
}

type seamMapOf struct {
	seam  *watch.Seam
	vp    view.Viewport
	scale float64
}

// The band's width in Fyne's units: where nothing misfits, for each CIEDE2000 of
// misfit, and where it is widest, however much that is.
const (
	bandLeast  = 2
	bandPerDE  = 3
	bandWidest = 24
)

// bandWidth is how wide the band is for a misfit, where widest is the seam's.
func bandWidth(misfit, widest float64) float64 {
	per := float64(bandPerDE)
	if widest > 0 {
		per = min(per, (bandWidest-bandLeast)/widest)
	}
	return min(bandLeast+per*misfit, bandWidest)
}

// drawSeam draws the map on what the viewer shows, if it is asked for and known.
func (m *seamMap) drawSeam(dst *image.RGBA, d *desk.Desk, vp view.Viewport, scale float64) {
	s := d.Seam()
	if !d.ShowSeam || !desk.SeamSteps[d.Step] || s == nil || len(s.Along) == 0 {
		return
	}
	if of := (seamMapOf{s, vp, scale}); of != m.of {
		*m = newSeamMap(of)
	}
	m.draw(dst)
}

func newSeamMap(of seamMapOf) seamMap {
	m := seamMap{of: of}
	band := newBandMask(of.vp.VW, of.vp.VH)
	most := -1.0
	for _, p := range thinned(of.seam.Along, of.vp, of.scale) {
		x, y := of.vp.ToScreen(float64(p.X0+p.X1)/2, float64(p.Y0+p.Y1)/2)
		band.disc(x, y, of.scale*bandWidth(p.Misfit, of.seam.Widest)/2)
		if p.Misfit > most && band.contains(x, y) {
			most, m.worst = p.Misfit, ink.Pt{X: x, Y: y}
		}
	}
	m.light, m.dark = band.borders()
	return m
}

func (m *seamMap) draw(dst *image.RGBA) {
	if dst.Rect.Dx() != m.of.vp.VW || dst.Rect.Dy() != m.of.vp.VH {
		return
	}
	for _, i := range m.dark {
		p := dst.Pix[4*i:][:3]
		for c := range p {
			p[c] /= 4
		}
	}
	for _, i := range m.light {
		p := dst.Pix[4*i:][:3]
		p[0], p[1], p[2] = look.Bone.R, look.Bone.G, look.Bone.B
	}
	if s := m.of.scale; len(m.light) > 0 {
		text := fmt.Sprintf("misfit up to %.1f", m.of.seam.Widest)
		wide := look.Type.Width(text, look.SmallSize*s) + 12*s
		at := ink.Pt{X: min(m.worst.X+22*s, float64(m.of.vp.VW)-wide-4*s), Y: max(m.worst.Y-26*s, 14*s)}
		label(dst, at, text, s)
	}
}

// thinned are pieces about a screen pixel and a half apart: more would draw the
// same.
func thinned(all []seam.Piece, vp view.Viewport, scale float64) []seam.Piece {
	type cell struct{ x, y int }
	best := map[cell]int{}
	var out []seam.Piece
	each := 1.5 * scale
	for _, p := range all {
		x, y := vp.ToScreen(float64(p.X0+p.X1)/2, float64(p.Y0+p.Y1)/2)
		if x < -bandWidest*scale || y < -bandWidest*scale || x > float64(vp.VW)+bandWidest*scale || y > float64(vp.VH)+bandWidest*scale {
			continue
		}
		at := cell{int(math.Floor(x / each)), int(math.Floor(y / each))}
		if i, there := best[at]; !there {
			best[at] = len(out)
			out = append(out, p)
		} else if p.Misfit > out[i].Misfit {
			out[i] = p
		}
	}
	return out
}

// A bandMask is which pixels of the view a band covers.
type bandMask struct {
	w, h int
	on   []bool
}

func newBandMask(w, h int) *bandMask { return &bandMask{w, h, make([]bool, w*h)} }

func (b *bandMask) contains(x, y float64) bool {
	return x >= 0 && y >= 0 && x < float64(b.w) && y < float64(b.h)
}

func (b *bandMask) disc(x, y, r float64) {
	for row := max(0, int(math.Ceil(y-r-0.5))); row < b.h && float64(row)+0.5 <= y+r; row++ {
		dy := float64(row) + 0.5 - y
		half := math.Sqrt(max(0, r*r-dy*dy))
		from, to := max(0, int(math.Ceil(x-half-0.5))), min(b.w-1, int(math.Floor(x+half-0.5)))
		for col := from; col <= to; col++ {
			b.on[row*b.w+col] = true
		}
	}
}

// borders are the outermost pixels of the band, and those just beside it.
func (b *bandMask) borders() (inside, beside []int32) {
	at := func(x, y int) bool { return x >= 0 && y >= 0 && x < b.w && y < b.h && b.on[y*b.w+x] }
	for y := range b.h {
		for x := range b.w {
			me := at(x, y)
			if at(x-1, y) == me && at(x+1, y) == me && at(x, y-1) == me && at(x, y+1) == me {
				continue
			}
			if me {
				inside = append(inside, int32(y*b.w+x))
			} else {
				beside = append(beside, int32(y*b.w+x))
			}
		}
	}
	return inside, beside
}
