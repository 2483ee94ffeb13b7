package proof

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
)

// Greys have R = G = B, so that no hue beside a picture shifts what the eye makes of
// it. The accent is for what is chosen.
var (
	ground    = color.RGBA{0x33, 0x33, 0x33, 0xff}
	card      = color.RGBA{0x40, 0x40, 0x40, 0xff}
	plot      = color.RGBA{0x1e, 0x1e, 0x1e, 0xff}
	grid      = color.RGBA{0x38, 0x38, 0x38, 0xff}
	ink       = color.RGBA{0xec, 0xec, 0xec, 0xff}
	secondInk = color.RGBA{0xbd, 0xbd, 0xbd, 0xff}
	bone      = color.RGBA{0xf0, 0xe8, 0xd6, 0xff}
	accent    = color.RGBA{0xd3, 0xa0, 0xd8, 0xff}
	accentInk = color.RGBA{0xe2, 0xb6, 0xe6, 0xff}
)

// A Type is the typeface that a sheet and a graph are set in.
type Type struct{ regular, bold *opentype.Font }

// NewType returns a typeface of two font files.
func NewType(regular, bold []byte) (*Type, error) {
	r, err := opentype.Parse(regular)
	if err != nil {
		return nil, fmt.Errorf("proof: font: %w", err)
	}
	b, err := opentype.Parse(bold)
	if err != nil {
		return nil, fmt.Errorf("proof: bold font: %w", err)
	}
	return &Type{r, b}, nil
}

// GoType returns the typeface that is at hand everywhere.
func GoType() (*Type, error) { return NewType(goregular.TTF, gobold.TTF) }

// A pen draws on a picture.
type pen struct {
	dst   *image.RGBA
	faces map[string]font.Face
	of    *Type
}

func newPen(dst *image.RGBA, of *Type) *pen {
	return &pen{dst: dst, of: of, faces: map[string]font.Face{}}
}

func (p *pen) close() {
	for _, f := range p.faces {
		f.Close()
	}
}

// face returns a face of a size in pixels.
func (p *pen) face(size float64, bold bool) (font.Face, error) {
	key := fmt.Sprint(size, bold)
	if f, ok := p.faces[key]; ok {
		return f, nil
	}
	of := p.of.regular
	if bold {
		of = p.of.bold
	}
	f, err := opentype.NewFace(of, &opentype.FaceOptions{Size: size, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		return nil, fmt.Errorf("proof: font: %w", err)
	}
	p.faces[key] = f
	return f, nil
}

// text is what a pen writes.
type text struct {
	size   float64 // px
	bold   bool
	ink    color.Color
	anchor float64 // which share of its width lies before x
	room   float64 // px it may take; 0: any
}

// write sets a line with its baseline at y.
func (p *pen) write(x, y float64, s string, t text) error {
	face, err := p.face(t.size, t.bold)
	if err != nil {
		return err
	}
	width := func(s string) float64 { return float64(font.MeasureString(face, s)) / 64 }
	if t.room > 0 {
		s = cutTo(s, t.room, width)
	}
	d := font.Drawer{Dst: p.dst, Src: image.NewUniform(t.ink), Face: face, Dot: fixed.P(int(math.Round(x-t.anchor*width(s))), int(math.Round(y)))}
	d.DrawString(s)
	return nil
}

// cutTo shortens a line to a room.
func cutTo(s string, room float64, width func(string) float64) string {
	if width(s) <= room {
		return s
	}
	runes := []rune(s)
	for len(runes) > 0 && width(string(runes)+"…") > room {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

func (p *pen) fill(r image.Rectangle, c color.Color) {
	draw.Draw(p.dst, r, image.NewUniform(c), image.Point{}, draw.Src)
}

// box draws the border of a rectangle, inside of it.
func (p *pen) box(r image.Rectangle, width int, c color.Color) {
	p.fill(image.Rect(r.Min.X, r.Min.Y, r.Max.X, r.Min.Y+width), c)
	p.fill(image.Rect(r.Min.X, r.Max.Y-width, r.Max.X, r.Max.Y), c)
	p.fill(image.Rect(r.Min.X, r.Min.Y, r.Min.X+width, r.Max.Y), c)
	p.fill(image.Rect(r.Max.X-width, r.Min.Y, r.Max.X, r.Max.Y), c)
}

type point struct{ x, y float64 }

// polygon fills a closed line of points.
func (p *pen) polygon(points []point, c color.Color) {
	low, high := points[0], points[0]
	for _, q := range points {
		low, high = point{min(low.x, q.x), min(low.y, q.y)}, point{max(high.x, q.x), max(high.y, q.y)}
	}
	in := image.Rect(int(math.Floor(low.x)), int(math.Floor(low.y)), int(math.Ceil(high.x)), int(math.Ceil(high.y)))
	z := vector.NewRasterizer(in.Dx(), in.Dy())
	at := func(q point) (x, y float32) {
		return float32(q.x - float64(in.Min.X)), float32(q.y - float64(in.Min.Y))
	}
	z.MoveTo(at(points[0]))
	for _, q := range points[1:] {
		z.LineTo(at(q))
	}
	z.ClosePath()
	z.Draw(p.dst, in, image.NewUniform(c), image.Point{})
}

func (p *pen) disc(at point, radius float64, c color.Color) {
	const sides = 24
	all := make([]point, sides)
	for i := range all {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		all[i] = point{at.x + radius*cos, at.y + radius*sin}
	}
	p.polygon(all, c)
}

// line draws a line of points; dash is the length of its dashes and of the gaps
// between them, 0 for none.
func (p *pen) line(points []point, width, dash float64, c color.Color) {
	at := 0.0 // along the whole line
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		long := math.Hypot(b.x-a.x, b.y-a.y)
		if dash == 0 {
			p.stroke(a, b, width, c)
			if i > 1 {
				p.disc(a, width/2, c)
			}
			continue
		}
		on := func(u float64) point { return point{a.x + (b.x-a.x)*u/long, a.y + (b.y-a.y)*u/long} }
		for u := -math.Mod(at, 2*dash); u < long; u += 2 * dash {
			if from, to := max(u, 0), min(u+dash, long); to > from {
				p.stroke(on(from), on(to), width, c)
			}
		}
		at += long
	}
}

// stroke draws a straight piece with blunt ends.
func (p *pen) stroke(a, b point, width float64, c color.Color) {
	long := math.Hypot(b.x-a.x, b.y-a.y)
	if long == 0 {
		return
	}
	nx, ny := -(b.y-a.y)/long*width/2, (b.x-a.x)/long*width/2
	p.polygon([]point{{a.x + nx, a.y + ny}, {b.x + nx, b.y + ny}, {b.x - nx, b.y - ny}, {a.x - nx, a.y - ny}}, c)
}

// square is hollow: it shows what lies behind it.
func (p *pen) square(at point, side float64, behind, c color.Color) {
	r := image.Rect(int(math.Round(at.x-side/2)), int(math.Round(at.y-side/2)), int(math.Round(at.x+side/2)), int(math.Round(at.y+side/2)))
	p.fill(r, behind)
	p.box(r, max(1, int(side/5)), c)
}
