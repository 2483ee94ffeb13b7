package ink

import (
	"image"
	"image/color"
	"math"
	"sync"

	"fyne.io/fyne/v2/theme"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// An Anchor says which point of a line of words is put where it is asked for.
type Anchor int

const (
	BaseLeft   Anchor = iota // the left end of the line the letters stand on
	BaseCentre               //
	BaseRight                //
	MidLeft                  // half way up the capitals and digits
	MidCentre                //
	MidRight                 //
	TopLeft                  // the top of the capitals and digits
	TopCentre                //
	TopRight                 //
)

// capHeight is the height of capitals and digits as a share of the size: 714 of
// 1000 units in Noto Sans.
const capHeight = 0.714

// Text draws one line of words, size pixels high from line to line, at at. The
// line the letters stand on is put on whole pixels, so that words are equally
// crisp wherever they stand.
func Text(dst *image.RGBA, at Pt, s string, size float64, c color.NRGBA, anchor Anchor) {
	const far = 1 << 20 // what fixed point can hold, with room for the words
	if s == "" || !(size > 0) || !(math.Abs(at.X) < far) || !(math.Abs(at.Y) < far) {
		return
	}
	at.Y += capHeight * size * float64(anchor/3) / 2
	if at.Y+size < float64(dst.Rect.Min.Y) || at.Y-2*size > float64(dst.Rect.Max.Y) {
		return
	}
	f := faceOf(size)
	f.Lock()
	defer f.Unlock()
	at.X -= width(f, s) * float64(anchor%3) / 2
	d := font.Drawer{Dst: dst, Src: image.NewUniform(c), Face: f}
	d.Dot = fixed.Point26_6{X: fixed.Int26_6(math.Round(at.X * 64)), Y: fixed.I(int(math.Round(at.Y)))}
	d.DrawString(s)
}

// TextWidth returns how wide a line of words is, in pixels.
func TextWidth(s string, size float64) float64 {
	if s == "" || !(size > 0) {
		return 0
	}
	f := faceOf(size)
	f.Lock()
	defer f.Unlock()
	return width(f, s)
}

func width(f font.Face, s string) float64 { return float64(font.MeasureString(f, s)) / 64 }

// A face is a font at one size. It is used by one goroutine at a time.
type face struct {
	font.Face
	sync.Mutex
}

var faces sync.Map // size in quarter pixels -> *face

var regular = sync.OnceValue(func() *opentype.Font {
	f, err := opentype.Parse(theme.DefaultTextFont().Content())
	if err != nil {
		panic("ink: the theme's font: " + err.Error())
	}
	return f
})

// faceOf returns the face of a size, to a quarter of a pixel, at most 256 px.
func faceOf(size float64) *face {
	quarters := max(1, int(math.Round(4*min(size, 256))))
	if f, ok := faces.Load(quarters); ok {
		return f.(*face)
	}
	made, err := opentype.NewFace(regular(), &opentype.FaceOptions{Size: float64(quarters) / 4, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("ink: a face: " + err.Error()) // never: opentype has no error for a font it has parsed
	}
	f, _ := faces.LoadOrStore(quarters, &face{Face: made})
	return f.(*face)
}
