package proof

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"

	"halocline/app/ink"
	"halocline/app/render"
	"halocline/app/view"
)

// A Contact says how a sheet is printed: pictures side by side, all of the same
// part of the frame and at the same size, with figures under each, and the graph of
// a sweep.
type Contact struct {
	Title  string
	About  string // a line below it
	View   view.View
	Region image.Rectangle // of the source; empty: the whole frame
	Order  []int           // of the items; nil: as they stand
	Sweep  *Sweep          // nil: no graph
	Chosen int             // the item with a border; -1: none
	Type   ink.Type
	Width  int // of a picture, px, at least 320; 0: 480
}

const (
	printWidth  = 480
	leastWidth  = 320 // its captions do not overlap
	printGap    = 16
	printTop    = 62 // for the title
	rowHeight   = 19
	captionTop  = 26
	captionFoot = 8
)

// A contact is one being drawn.
type contact struct {
	Contact
	sheet   *Sheet
	all     []Figures
	columns [2][]Column // side by side under a picture
	notes   bool
	picture image.Point // of all frames
	tile    image.Point // of one
	tiles   int         // pictures of frames in a row of one cell
	least   int         // -1: none
	dst     *image.RGBA
	across  int
	cell    image.Point
}

// Draw prints the sheet with the figures that Judge gave.
func (s *Sheet) Draw(ctx context.Context, r *render.Renderer, all []Figures, c Contact) (*image.RGBA, error) {
	if len(s.Items) == 0 || len(s.Frames) == 0 {
		return nil, fmt.Errorf("proof: a sheet of %d proofs on %d frames, want one of each or more", len(s.Items), len(s.Frames))
	}
	size, err := r.Size(ctx, s.Study, s.Frames[0])
	if err != nil {
		return nil, err
	}
	k := contact{Contact: c, sheet: s, all: all, columns: Captions(all), least: -1}
	k.plan(size)
	k.head()
	for n, i := range k.Order {
		if err := k.print(ctx, r, k.corner(n), i); err != nil {
			return nil, err
		}
	}
	if c.Sweep != nil {
		at := k.corner(len(k.Order))
		GraphOf(c.Sweep, s.Items, all).Draw(k.dst, image.Rectangle{Min: at, Max: at.Add(k.cell)}, c.Type, 1.2)
	}
	return k.dst, nil
}

// captions are the figures under a picture, in two columns: on the left what
// softness is chosen by.
var captions = [2][]string{{"rim", "bleed", "misfit", edgeMismatch, "separation", maskedEdge}, {"edge width", "specks", "holes", "area", "flicker"}}

// Captions returns the columns of figures to be written under a picture, without
// those that no proof has; the edge mismatch stands in for misfit where there is no
// trial.
func Captions(all []Figures) [2][]Column {
	leave := map[string]bool{}
	for _, c := range Columns() {
		leave[c.Name] = !slices.ContainsFunc(all, func(f Figures) bool {
			_, ok := c.Of(f)
			return ok
		})
	}
	leave[edgeMismatch] = leave[edgeMismatch] || !leave["misfit"]
	return CaptionsBut(leave)
}

// CaptionsBut is Captions without those whose names are to be left out.
func CaptionsBut(leave map[string]bool) (out [2][]Column) {
	for side, names := range captions {
		for _, name := range names {
			if c, err := ColumnNamed(name); err == nil && !leave[name] {
				out[side] = append(out[side], c)
			}
		}
	}
	return out
}

// rows is how many lines of figures a picture has.
func (k *contact) rows() int { return max(len(k.columns[0]), len(k.columns[1])) }

// plan lays the sheet out.
func (k *contact) plan(size image.Point) {
	s := k.sheet
	if k.Order == nil {
		for i := range s.Items {
			k.Order = append(k.Order, i)
		}
	}
	if l, ok := LeastMisfit(s.Items, k.all); ok {
		k.least = l.Item
	}
	for _, it := range s.Items {
		k.notes = k.notes || it.Note != ""
	}
	shape := size
	if region := k.Region.Intersect(image.Rectangle{Max: size}); !region.Empty() {
		shape = region.Size()
	}
	if k.Width <= 0 {
		k.Width = printWidth
	}
	k.Width = max(k.Width, leastWidth)
	k.tiles = int(math.Ceil(math.Sqrt(float64(len(s.Frames)))))
	wide := k.Width / k.tiles
	k.tile = image.Pt(wide, max(1, int(math.Round(float64(wide)*float64(shape.Y)/float64(shape.X)))))
	k.picture = image.Pt(k.Width, (len(s.Frames)+k.tiles-1)/k.tiles*k.tile.Y)
	rows := k.rows()
	if k.notes {
		rows++
	}
	k.cell = k.picture.Add(image.Pt(0, captionTop+rows*rowHeight+captionFoot))
	cells := len(k.Order)
	if k.Sweep != nil {
		cells++
	}
	k.across = min(4, max(2, int(math.Ceil(math.Sqrt(float64(cells))))), cells)
	down := (cells + k.across - 1) / k.across
	k.dst = image.NewRGBA(image.Rect(0, 0, printGap+k.across*(k.cell.X+printGap), printTop+down*(k.cell.Y+printGap)))
	draw.Draw(k.dst, k.dst.Rect, image.NewUniform(ink.Window), image.Point{}, draw.Src)
}

// corner is where the n-th cell begins.
func (k *contact) corner(n int) image.Point {
	return image.Pt(printGap+n%k.across*(k.cell.X+printGap), printTop+n/k.across*(k.cell.Y+printGap))
}

// write writes a line in a room that stands on y and begins at x, or ends there.
func (k *contact) write(of *ink.Font, x, y float64, s string, size float64, c color.NRGBA, room float64, anchor ink.Anchor) {
	of.Text(k.dst, ink.Pt{X: x, Y: y}, of.Cut(s, size, room), size, c, anchor)
}

func (k *contact) head() {
	room := float64(k.dst.Rect.Dx() - 2*printGap)
	k.write(k.Type.Bold, printGap, 28, k.Title, 19, ink.Text, room, ink.BaseLeft)
	k.write(k.Type.Font, printGap, 49, k.About, 13, ink.Second, room, ink.BaseLeft)
}

// print draws one cell.
func (k *contact) print(ctx context.Context, r *render.Renderer, at image.Point, i int) error {
	in := image.Rectangle{Min: at, Max: at.Add(k.cell)}
	draw.Draw(k.dst, in, image.NewUniform(ink.Card), image.Point{}, draw.Src)
	if err := k.pictures(ctx, r, at, i); err != nil {
		return err
	}
	k.caption(at.Add(image.Pt(12, k.picture.Y)), i)
	if i == k.Chosen {
		border := ink.Rect{X0: float64(in.Min.X - 1), Y0: float64(in.Min.Y - 1), X1: float64(in.Max.X + 1), Y1: float64(in.Max.Y + 1)}
		ink.Box(k.dst, border, ink.Pen{Width: 2, Colour: ink.Accent})
	}
	return nil
}

func (k *contact) pictures(ctx context.Context, r *render.Renderer, at image.Point, i int) error {
	for t, frame := range k.sheet.Frames {
		m, err := k.sheet.Picture(ctx, r, i, frame, k.View, k.Region, k.tile.X, k.tile.Y)
		if err != nil {
			return err
		}
		to := at.Add(image.Pt(t%k.tiles*k.picture.X/k.tiles, t/k.tiles*k.tile.Y))
		draw.Draw(k.dst, image.Rectangle{Min: to, Max: to.Add(m.Rect.Size())}, m, image.Point{}, draw.Src)
	}
	return nil
}

func (k *contact) caption(at image.Point, i int) {
	it, f := k.sheet.Items[i], k.all[i]
	width := float64(k.cell.X - 24)
	x, y := float64(at.X), float64(at.Y)
	tag, hue := k.tag(i)
	k.write(k.Type.Font, x+width, y+20, tag, 13, hue, width, ink.BaseRight)
	k.write(k.Type.Bold, x, y+20, it.Name, 15, ink.Text, width*0.7, ink.BaseLeft)
	half := width/2 - 10
	line := func(n int) float64 { return y + captionTop + float64(n+1)*rowHeight - 5 }
	for side, columns := range k.columns {
		left := x + float64(side)*(width/2+10)
		for n, c := range columns {
			k.write(k.Type.Font, left, line(n), c.Name, 13, ink.Second, half, ink.BaseLeft)
			k.write(k.Type.Font, left+half, line(n), c.Text(f), 13, ink.Text, half, ink.BaseRight)
		}
	}
	if k.notes {
		k.write(k.Type.Font, x, line(k.rows()), it.Note, 13, ink.Second, width, ink.BaseLeft)
	}
}

// tag is a word about an item beside its name.
func (k *contact) tag(i int) (string, color.NRGBA) {
	switch {
	case i == k.least:
		return "least misfit", ink.AccentText
	case k.sheet.Items[i].Now && k.sheet.Items[i].Name != AsItIs:
		return "as it is now", ink.Second
	case k.sheet.Items[i].Kept != 0 && k.sheet.Items[i].KeptAs != k.sheet.Items[i].Name:
		return "kept as " + k.sheet.Items[i].KeptAs, ink.Second
	}
	return "", ink.Second
}
