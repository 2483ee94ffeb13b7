package batch

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	xdraw "golang.org/x/image/draw"
	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// A contact sheet is pictures side by side on neutral grey, each with a line of
// text below: what there is to look at, at a glance.

// A print is one picture of the sheet.
type print struct {
	picture image.Image
	title   string
	note    string
}

// Measures of the sheet in pixels. Greys have R = G = B, so that no hue beside
// a picture shifts what the eye makes of it.
const (
	sheetColumns = 3
	printWidth   = 480
	printGap     = 16
	captionSize  = 15
	captionLine  = 21
)

var (
	sheetGround = color.RGBA{0x33, 0x33, 0x33, 0xff}
	titleInk    = color.RGBA{0xec, 0xec, 0xec, 0xff}
	noteInk     = color.RGBA{0xbd, 0xbd, 0xbd, 0xff}
)

// contactSheet lays prints out row by row; all have the shape of the first.
func contactSheet(prints []print) (*image.RGBA, error) {
	face, err := captionFace()
	if err != nil {
		return nil, err
	}
	defer face.Close()
	b := prints[0].picture.Bounds()
	height := int(math.Round(printWidth * float64(b.Dy()) / float64(b.Dx())))
	cell := image.Pt(printWidth+printGap, height+2*captionLine+printGap)
	rows := (len(prints) + sheetColumns - 1) / sheetColumns
	sheet := image.NewRGBA(image.Rect(0, 0, printGap+sheetColumns*cell.X, printGap+rows*cell.Y))
	draw.Draw(sheet, sheet.Bounds(), image.NewUniform(sheetGround), image.Point{}, draw.Src)
	for i, p := range prints {
		at := image.Pt(printGap+i%sheetColumns*cell.X, printGap+i/sheetColumns*cell.Y)
		xdraw.CatmullRom.Scale(sheet, image.Rectangle{at, at.Add(image.Pt(printWidth, height))}, p.picture, p.picture.Bounds(), draw.Src, nil)
		write(sheet, face, titleInk, at.X, at.Y+height+captionLine-4, p.title)
		write(sheet, face, noteInk, at.X, at.Y+height+2*captionLine-4, p.note)
	}
	return sheet, nil
}

func captionFace() (font.Face, error) {
	f, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return nil, fmt.Errorf("batch: caption font: %w", err)
	}
	return opentype.NewFace(f, &opentype.FaceOptions{Size: captionSize, DPI: 72, Hinting: font.HintingFull})
}

// write sets a line of text with its baseline at y.
func write(dst draw.Image, face font.Face, ink color.Color, x, y int, text string) {
	d := font.Drawer{Dst: dst, Src: image.NewUniform(ink), Face: face, Dot: fixed.P(x, y)}
	d.DrawString(text)
}
