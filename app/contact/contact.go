// Package contact makes contact sheets: views of whole frames in rows on neutral
// grey, each with two lines of text below.
package contact

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/draw"
	"math"

	"halocline/app/ink"
	"halocline/app/view"
)

// A Print is one picture of a sheet: a view of a whole frame.
type Print struct {
	View   view.View
	Layers view.Layers
	Title  string // the first line below it
	Note   string // the second
}

// A Layout says how prints lie on a sheet.
type Layout struct {
	Columns int // prints in a row
	Width   int // of a print, in pixels
}

// Three is the layout of sheets with few prints.
var Three = Layout{Columns: 3, Width: 480}

// Measures of a sheet in pixels.
const (
	gap         = 16 // beside a print and below it
	captionSize = 15
	captionLine = 21
)

// mostPixels is the largest sheet: some 500 prints of a wide frame at 320 pixels,
// 200 MB of memory while it is drawn.
const mostPixels = 50_000_000

// Of returns a sheet of prints; all have the shape of the first.
func Of(ctx context.Context, l Layout, prints []Print) (*image.RGBA, error) {
	return Draw(ctx, l, len(prints), func(i int) (Print, error) { return prints[i], nil })
}

// Draw returns a sheet of n prints, which print gives in their order; all have the
// shape of the first. Only one of them is held at a time. A sheet without prints
// or with too many of them is an error.
func Draw(ctx context.Context, l Layout, n int, print func(i int) (Print, error)) (*image.RGBA, error) {
	if n < 1 {
		return nil, errors.New("contact: a sheet of no pictures, want one or more")
	}
	var s sheet
	for i := range n {
		p, err := print(i)
		if err != nil {
			return nil, err
		}
		if i == 0 {
			if s, err = newSheet(l, n, p.Layers.Region.Size()); err != nil {
				return nil, err
			}
		}
		if err := s.print(ctx, i, p); err != nil {
			return nil, err
		}
	}
	return s.dst, nil
}

// A sheet is one that is being drawn.
type sheet struct {
	columns int
	dst     *image.RGBA
	cell    image.Point // a print with its lines and the gap
	scale   view.Viewport
	picture *image.RGBA // one print
	words   *ink.Font
}

func newSheet(l Layout, n int, frame image.Point) (sheet, error) {
	height := int(math.Round(float64(l.Width) * float64(frame.Y) / float64(frame.X)))
	s := sheet{columns: min(l.Columns, n), cell: image.Pt(l.Width+gap, height+2*captionLine+gap), words: ink.GoType().Font}
	rows := (n + s.columns - 1) / s.columns
	size := image.Pt(gap+s.columns*s.cell.X, gap+rows*s.cell.Y)
	if size.X*size.Y > mostPixels {
		most := (mostPixels/size.X - gap) / s.cell.Y * s.columns
		return s, fmt.Errorf("contact: a sheet of %d pictures, want %d or fewer", n, most)
	}
	s.dst = image.NewRGBA(image.Rectangle{Max: size})
	draw.Draw(s.dst, s.dst.Rect, image.NewUniform(ink.Window), image.Point{}, draw.Src)
	s.scale = view.Viewport{W: frame.X, H: frame.Y, VW: l.Width, VH: height}.Fit()
	s.picture = image.NewRGBA(image.Rect(0, 0, l.Width, height))
	return s, nil
}

// print puts a print and its lines in the i-th place.
func (s sheet) print(ctx context.Context, i int, p Print) error {
	if err := new(view.Composer).Compose(ctx, s.picture, s.scale, p.View, p.View, -1, p.Layers, 0); err != nil {
		return err
	}
	at := image.Pt(gap+i%s.columns*s.cell.X, gap+i/s.columns*s.cell.Y)
	draw.Draw(s.dst, s.picture.Rect.Add(at), s.picture, image.Point{}, draw.Src)
	room := float64(s.picture.Rect.Dx())
	foot := ink.Pt{X: float64(at.X), Y: float64(at.Y + s.picture.Rect.Dy() + captionLine - 4)}
	s.words.Text(s.dst, foot, s.words.Cut(p.Title, captionSize, room), captionSize, ink.Text, ink.BaseLeft)
	foot.Y += captionLine
	s.words.Text(s.dst, foot, s.words.Cut(p.Note, captionSize, room), captionSize, ink.Second, ink.BaseLeft)
	return nil
}
