package proof

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"strings"

	"golang.org/x/image/draw"

	"halocline/app/render"
	"halocline/colour"
)

// A View is one way to look at a proof.
type View int

const (
	Matte  View = iota // the weights as greys
	Hatch              // what the matte leaves out, under a neutral hatch
	Cutout             // what the matte covers, over dashes
	Trial              // the picture graded through the matte alone
)

var viewNames = [...]string{Matte: "Matte", Hatch: "Hatch", Cutout: "Cut-out", Trial: "Trial"}

// ViewNames returns the views' names on the screen, in their order.
func ViewNames() []string { return viewNames[:] }

// String returns the view's name on the screen.
func (v View) String() string {
	if v < Matte || v > Trial {
		return fmt.Sprintf("View(%d)", int(v))
	}
	return viewNames[v]
}

// ParseView reads a view's name as a command line has it: matte, hatch, cutout or
// trial.
func ParseView(name string) (View, error) {
	for i, n := range viewNames {
		if strings.EqualFold(strings.ReplaceAll(n, "-", ""), strings.ReplaceAll(name, "-", "")) {
			return View(i), nil
		}
	}
	return 0, fmt.Errorf("proof: view is %q, want matte, hatch, cutout or trial", name)
}

// surround is what lies beside a picture that has not the shape it is shown in.
var surround = color.RGBA{0x40, 0x40, 0x40, 0xff}

// Picture shows a region of an item's frame, empty for the whole of it, in w x h
// pixels. Every item is shown through the same sampling: pixels of the source stay
// crisp where they are larger than those of the picture, and are averaged where they
// are smaller.
func (s *Sheet) Picture(ctx context.Context, r *render.Renderer, item, frame int, v View, region image.Rectangle, w, h int) (*image.RGBA, error) {
	size, err := r.Size(ctx, s.Study, frame)
	if err != nil {
		return nil, err
	}
	whole := image.Rectangle{Max: size}
	if region.Empty() {
		region = whole
	}
	if region = region.Intersect(whole); region.Empty() {
		return nil, fmt.Errorf("proof: the part that is shown lies outside the frame, want some of %d x %d", size.X, size.Y)
	}
	at := fitted(region.Size(), image.Pt(w, h))
	q := render.Request{Study: s.Study, Settings: s.Items[item].Settings, Frame: frame, Region: region, Factor: max(1, min(region.Dx()/max(at.Dx(), 1), region.Dy()/max(at.Dy(), 1)))}
	shown, err := look(ctx, r, q, v, at.Size())
	if err != nil {
		return nil, err
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(out, out.Bounds(), image.NewUniform(surround), image.Point{}, draw.Src)
	draw.Draw(out, at, shown, image.Point{}, draw.Src)
	return out, nil
}

// fitted is the largest rectangle of a shape in the middle of a size.
func fitted(shape, size image.Point) image.Rectangle {
	w, h := size.X, (size.X*shape.Y+shape.X/2)/shape.X
	if h > size.Y {
		w, h = (size.Y*shape.X+shape.Y/2)/shape.Y, size.Y
	}
	w, h = max(w, 1), max(h, 1)
	at := image.Pt((size.X-w)/2, (size.Y-h)/2)
	return image.Rectangle{Min: at, Max: at.Add(image.Pt(w, h))}
}

// look renders a view and brings it to a size. Patterns are laid on afterwards, in
// pixels of the picture.
func look(ctx context.Context, r *render.Renderer, q render.Request, v View, size image.Point) (image.Image, error) {
	if v == Trial {
		m, err := r.TrialAlone(ctx, q)
		if err != nil {
			return nil, err
		}
		return scaled(m.RGBA(nil), size), nil
	}
	matte, err := r.Matte(ctx, q)
	if err != nil {
		return nil, err
	}
	weights := scaled(matte.Gray(nil), size)
	if v == Matte {
		return weights, nil
	}
	m, err := r.Shown(ctx, q)
	if err != nil {
		return nil, err
	}
	picture := scaled(m.RGBA(nil), size)
	if v == Cutout {
		overDashes(picture, weights)
		return picture, nil
	}
	shown, alpha := planesOf(picture, weights)
	hatched, err := render.Hatched(ctx, shown, alpha, image.Point{}, 0)
	if err != nil {
		return nil, err
	}
	return hatched.RGBA(nil), nil
}

func scaled(m image.Image, size image.Point) *image.RGBA {
	out := image.NewRGBA(image.Rectangle{Max: size})
	var by draw.Scaler = draw.CatmullRom
	if b := m.Bounds(); size.X >= b.Dx() {
		by = draw.NearestNeighbor
	}
	by.Scale(out, out.Bounds(), m, m.Bounds(), draw.Src, nil)
	return out
}

// The ground of a cut-out: short dashes on dark grey, every other row of them shifted
// by half, so that nobody takes it for a part of the picture.
const (
	cutGround, cutDash = 0x21, 0x2f
	dashLong           = 5
	dashEvery          = 12
	dashRows           = 4
)

// overDashes lays a picture over the ground, as far as the weights, greys, say.
func overDashes(picture, weights *image.RGBA) {
	w := picture.Rect.Dx()
	for y := range picture.Rect.Dy() {
		row, alpha := picture.Pix[y*picture.Stride:][:4*w], weights.Pix[y*weights.Stride:][:4*w]
		for x := range w {
			under := cutGround
			if y%dashRows == 1 && (x+y/dashRows%2*dashEvery/2)%dashEvery < dashLong {
				under = cutDash
			}
			a := int(alpha[4*x])
			for c := range 3 {
				row[4*x+c] = uint8((int(row[4*x+c])*a + under*(255-a) + 127) / 255)
			}
		}
	}
}

// planesOf takes a picture and weights, which are greys, to planes.
func planesOf(picture, weights *image.RGBA) (*colour.Image, colour.Plane) {
	w, h := picture.Rect.Dx(), picture.Rect.Dy()
	m, a := colour.NewImage(w, h), colour.NewPlane(w, h)
	for y := range h {
		row, alpha := picture.Pix[y*picture.Stride:], weights.Pix[y*weights.Stride:]
		for x := range w {
			m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = colour.FromCode8(row[4*x]), colour.FromCode8(row[4*x+1]), colour.FromCode8(row[4*x+2])
			a.Row(y)[x] = colour.FromCode8(alpha[4*x])
		}
	}
	return m, a
}
