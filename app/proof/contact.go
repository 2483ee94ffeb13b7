package proof

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"slices"

	"halocline/app/render"
)

// A Contact says how a sheet is printed: pictures side by side, all of the same
// part of the frame and at the same size, with figures under each, and the graph of
// a sweep.
type Contact struct {
	Title  string
	About  string // a line below it
	View   View
	Region image.Rectangle // of the source; empty: the whole frame
	Order  []int           // of the items; nil: as they stand
	Sweep  *Sweep          // nil: no graph
	Chosen int             // the item with a border; -1: none
	Type   *Type
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
	pen     *pen
	least   int // -1: none
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
	defer k.pen.close()
	if err := k.head(); err != nil {
		return nil, err
	}
	for n, i := range k.Order {
		if err := k.print(ctx, r, k.corner(n), i); err != nil {
			return nil, err
		}
	}
	if c.Sweep == nil {
		return k.dst, nil
	}
	at := k.corner(len(k.Order))
	in := image.Rectangle{Min: at, Max: at.Add(k.cell)}
	return k.dst, GraphOf(c.Sweep, s.Items, all).Draw(k.dst, in, c.Type, 1.2)
}

// captions are the figures under a picture, in two columns: on the left what
// softness is chosen by.
var captions = [2][]string{{"rim", "bleed", "misfit", edgeMismatch, "separation"}, {"edge width", "specks", "holes", "area", "flicker"}}

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
	k.pen = newPen(k.dst, k.Type)
	k.pen.fill(k.dst.Rect, ground)
}

// corner is where the n-th cell begins.
func (k *contact) corner(n int) image.Point {
	return image.Pt(printGap+n%k.across*(k.cell.X+printGap), printTop+n/k.across*(k.cell.Y+printGap))
}

func (k *contact) head() error {
	room := float64(k.dst.Rect.Dx() - 2*printGap)
	if err := k.pen.write(printGap, 28, k.Title, text{size: 19, bold: true, ink: ink, room: room}); err != nil {
		return err
	}
	return k.pen.write(printGap, 49, k.About, text{size: 13, ink: secondInk, room: room})
}

// print draws one cell.
func (k *contact) print(ctx context.Context, r *render.Renderer, at image.Point, i int) error {
	in := image.Rectangle{Min: at, Max: at.Add(k.cell)}
	k.pen.fill(in, card)
	if err := k.pictures(ctx, r, at, i); err != nil {
		return err
	}
	if err := k.caption(at.Add(image.Pt(12, k.picture.Y)), i); err != nil {
		return err
	}
	if i == k.Chosen {
		k.pen.box(in.Inset(-2), 2, accent)
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

func (k *contact) caption(at image.Point, i int) error {
	it, f := k.sheet.Items[i], k.all[i]
	width := float64(k.cell.X - 24)
	x, y := float64(at.X), float64(at.Y)
	tag, hue := k.tag(i)
	if err := k.pen.write(x+width, y+20, tag, text{size: 13, ink: hue, anchor: 1}); err != nil {
		return err
	}
	if err := k.pen.write(x, y+20, it.Name, text{size: 15, bold: true, ink: ink, room: width * 0.7}); err != nil {
		return err
	}
	half := width/2 - 10
	for side, columns := range k.columns {
		left := x + float64(side)*(width/2+10)
		for n, c := range columns {
			line := y + captionTop + float64(n+1)*rowHeight - 5
			if err := k.pen.write(left, line, c.Name, text{size: 13, ink: secondInk}); err != nil {
				return err
			}
			if err := k.pen.write(left+half, line, c.Text(f), text{size: 13, ink: ink, anchor: 1}); err != nil {
				return err
			}
		}
	}
	if !k.notes {
		return nil
	}
	line := y + captionTop + float64(k.rows()+1)*rowHeight - 5
	return k.pen.write(x, line, it.Note, text{size: 13, ink: secondInk, room: width})
}

// tag is a word about an item beside its name.
func (k *contact) tag(i int) (string, color.Color) {
	switch {
	case i == k.least:
		return "least misfit", accentInk
	case k.sheet.Items[i].Now && k.sheet.Items[i].Name != AsItIs:
		return "as it is now", secondInk
	case k.sheet.Items[i].Kept != 0 && k.sheet.Items[i].KeptAs != k.sheet.Items[i].Name:
		return "kept as " + k.sheet.Items[i].KeptAs, secondInk
	}
	return "", secondInk
}
