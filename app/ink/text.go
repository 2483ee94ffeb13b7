package ink

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
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

// A Font draws words. It may be used by several goroutines at once.
type Font struct {
	outlines  *opentype.Font
	capHeight float64  // of capitals and digits, as a share of the size
	faces     sync.Map // size in quarter pixels -> *face
}

// NewFont returns the font of a font file.
func NewFont(file []byte) (*Font, error) {
	outlines, err := opentype.Parse(file)
	if err != nil {
		return nil, fmt.Errorf("ink: font: %w", err)
	}
	em := outlines.UnitsPerEm()
	m, err := outlines.Metrics(new(sfnt.Buffer), fixed.I(int(em)), font.HintingNone)
	if err != nil {
		return nil, fmt.Errorf("ink: font: %w", err)
	}
	return &Font{outlines: outlines, capHeight: float64(m.CapHeight) / 64 / float64(em)}, nil
}

// A Type is a typeface: its regular font, and its bold one.
type Type struct {
	*Font
	Bold *Font
}

// NewType returns the typeface of two font files.
func NewType(regular, bold []byte) (Type, error) {
	r, err := NewFont(regular)
	if err != nil {
		return Type{}, err
	}
	b, err := NewFont(bold)
	return Type{r, b}, err
}

// GoType is the typeface that is at hand everywhere: Go, by Bigelow & Holmes.
var GoType = sync.OnceValue(func() Type {
	t, err := NewType(goregular.TTF, gobold.TTF)
	if err != nil {
		panic(err) // never: the files are part of the program
	}
	return t
})

// Text draws one line of words, size pixels high from line to line, at at. The
// line the letters stand on is put on whole pixels, so that words are equally
// crisp wherever they stand.
func (f *Font) Text(dst *image.RGBA, at Pt, s string, size float64, c color.NRGBA, anchor Anchor) {
	const far = 1 << 20 // what fixed point can hold, with room for the words
	if s == "" || !(size > 0) || !(math.Abs(at.X) < far) || !(math.Abs(at.Y) < far) {
		return
	}
	at.Y += f.capHeight * size * float64(anchor/3) / 2
	if at.Y+size < float64(dst.Rect.Min.Y) || at.Y-2*size > float64(dst.Rect.Max.Y) {
		return
	}
	face := f.face(size)
	face.Lock()
	defer face.Unlock()
	at.X -= width(face, s) * float64(anchor%3) / 2
	d := font.Drawer{Dst: dst, Src: image.NewUniform(c), Face: face}
	d.Dot = fixed.Point26_6{X: fixed.Int26_6(math.Round(at.X * 64)), Y: fixed.I(int(math.Round(at.Y)))}
	d.DrawString(s)
}

// Width returns how wide a line of words is, in pixels.
func (f *Font) Width(s string, size float64) float64 {
	if s == "" || !(size > 0) {
		return 0
	}
	face := f.face(size)
	face.Lock()
	defer face.Unlock()
	return width(face, s)
}

// Cut returns a line of words that takes no more than a room, in pixels, with an
// ellipsis in place of what does not fit.
func (f *Font) Cut(s string, size, room float64) string {
	if f.Width(s, size) <= room {
		return s
	}
	letters := []rune(s)
	for n := len(letters) - 1; n > 0; n-- {
		if t := string(letters[:n]) + "…"; f.Width(t, size) <= room {
			return t
		}
	}
	return "…"
}

func width(f font.Face, s string) float64 { return float64(font.MeasureString(f, s)) / 64 }

// A face is a font at one size. It is used by one goroutine at a time.
type face struct {
	font.Face
	sync.Mutex
}

// face returns the face of a size, to a quarter of a pixel, at most 256 px.
func (f *Font) face(size float64) *face {
	quarters := max(1, int(math.Round(4*min(size, 256))))
	if at, ok := f.faces.Load(quarters); ok {
		return at.(*face)
	}
	made, err := opentype.NewFace(f.outlines, &opentype.FaceOptions{Size: float64(quarters) / 4, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("ink: a face: " + err.Error()) // never: opentype has no error for a font it has parsed
	}
	at, _ := f.faces.LoadOrStore(quarters, &face{Face: made})
	return at.(*face)
}
