package batch

import (
	"image"
	"image/draw"
	"math"

	xdraw "golang.org/x/image/draw"

	"halocline/app/ink"
)

// A contact sheet is pictures side by side on neutral grey, each with a line of
// text below: what there is to look at, at a glance.

// A print is one picture of the sheet.
type print struct {
	picture image.Image
	title   string
	note    string
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
func contactSheet(prints []print) *image.RGBA {
	b := prints[0].picture.Bounds()
	height := int(math.Round(printWidth * float64(b.Dy()) / float64(b.Dx())))
	cell := image.Pt(printWidth+printGap, height+2*captionLine+printGap)
	rows := (len(prints) + sheetColumns - 1) / sheetColumns
	sheet := image.NewRGBA(image.Rect(0, 0, printGap+sheetColumns*cell.X, printGap+rows*cell.Y))
	draw.Draw(sheet, sheet.Bounds(), image.NewUniform(ink.Window), image.Point{}, draw.Src)
	words := ink.GoType()
	for i, p := range prints {
		at := image.Pt(printGap+i%sheetColumns*cell.X, printGap+i/sheetColumns*cell.Y)
		xdraw.CatmullRom.Scale(sheet, image.Rectangle{at, at.Add(image.Pt(printWidth, height))}, p.picture, p.picture.Bounds(), draw.Src, nil)
		foot := ink.Pt{X: float64(at.X), Y: float64(at.Y + height + captionLine - 4)}
		words.Text(sheet, foot, p.title, captionSize, ink.Text, ink.BaseLeft)
		foot.Y += captionLine
		words.Text(sheet, foot, p.note, captionSize, ink.Second, ink.BaseLeft)
	}
	return sheet
}
