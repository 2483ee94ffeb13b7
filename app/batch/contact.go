package batch

import (
	"context"
	"image"
	"image/draw"
	"math"

	"halocline/app/ink"
	"halocline/app/view"
)

// A contact sheet is pictures side by side on neutral grey, each with a line of
// text below: what there is to look at, at a glance.

// A print is one picture of the sheet: a view of a whole frame.
type print struct {
	view   view.View
	layers view.Layers
	title  string
	note   string
}

// Measures of the sheet in pixels.
const (
	sheetColumns = 3
	printWidth   = 480
	printGap     = 16
	captionSize  = 15
	captionLine  = 21
)

// contactSheet lays prints out row by row; all have the shape of the first.
func contactSheet(ctx context.Context, prints []print) (*image.RGBA, error) {
	frame := prints[0].layers.Region.Size()
	height := int(math.Round(printWidth * float64(frame.Y) / float64(frame.X)))
	cell := image.Pt(printWidth+printGap, height+2*captionLine+printGap)
	rows := (len(prints) + sheetColumns - 1) / sheetColumns
	sheet := image.NewRGBA(image.Rect(0, 0, printGap+sheetColumns*cell.X, printGap+rows*cell.Y))
	draw.Draw(sheet, sheet.Bounds(), image.NewUniform(ink.Window), image.Point{}, draw.Src)
	vp := view.Viewport{W: frame.X, H: frame.Y, VW: printWidth, VH: height}.Fit()
	picture := image.NewRGBA(image.Rect(0, 0, vp.VW, vp.VH))
	words := ink.GoType()
	for i, p := range prints {
		if err := new(view.Composer).Compose(ctx, picture, vp, p.view, p.view, -1, p.layers, 0); err != nil {
			return nil, err
		}
		at := image.Pt(printGap+i%sheetColumns*cell.X, printGap+i/sheetColumns*cell.Y)
		draw.Draw(sheet, picture.Rect.Add(at), picture, image.Point{}, draw.Src)
		foot := ink.Pt{X: float64(at.X), Y: float64(at.Y + height + captionLine - 4)}
		words.Text(sheet, foot, p.title, captionSize, ink.Text, ink.BaseLeft)
		foot.Y += captionLine
		words.Text(sheet, foot, p.note, captionSize, ink.Second, ink.BaseLeft)
	}
	return sheet, nil
}
