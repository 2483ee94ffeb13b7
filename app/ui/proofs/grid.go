package proofs

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"halocline/app/ui/look"
)

// The measures of a sheet's cells, in Fyne's units.
const (
	cellGap     = 8
	leastCell   = 236 // the width at which its figures do not overlap
	captionHead = 30
	captionLine = 18
	captionPad  = 8
)

// A cellPlan says how a sheet's cells stand.
type cellPlan struct {
	across  int
	cell    fyne.Size
	picture fyne.Size // the upper part of a cell
}

// tallest is how much higher than the frame's shape asks for a picture may be: there is
// room, and one is zoomed into.
const tallest = 1.25

// planCells makes the pictures of n cells as large as they can be with all of them in
// view; where that would leave them too small to be read, as wide as three to a row,
// and the rest is scrolled to. aspect is a picture's height over its width.
func planCells(n, lines int, room fyne.Size, aspect float32) cellPlan {
	caption := float32(captionHead + lines*captionLine + captionPad)
	var best cellPlan
	for across := 1; across <= max(n, 1); across++ {
		width := (room.Width - cellGap*float32(across-1)) / float32(across)
		down := (n + across - 1) / across
		height := min(width*aspect*tallest, (room.Height-cellGap*float32(down-1))/float32(down)-caption)
		if width < leastCell || height < 90 {
			continue
		}
		p := cellPlan{across, fyne.NewSize(width, height+caption), fyne.NewSize(width, height)}
		if fits(p.picture, aspect) > fits(best.picture, aspect)+0.5 {
			best = p
		}
	}
	if best.across > 0 {
		return best
	}
	across := max(1, min(3, int((room.Width+cellGap)/(leastCell+cellGap))))
	width := (room.Width - cellGap*float32(across-1)) / float32(across)
	picture := fyne.NewSize(width, width*aspect)
	return cellPlan{across, fyne.NewSize(width, picture.Height+caption), picture}
}

// fits is how wide a frame is that fits into a picture.
func fits(picture fyne.Size, aspect float32) float32 {
	return min(picture.Width, picture.Height/aspect)
}

// height is that of n cells.
func (p cellPlan) height(n int) float32 {
	down := float32((n + p.across - 1) / p.across)
	return down*(p.cell.Height+cellGap) - cellGap
}

// A Grid has a sheet's cells. It is one stop of the keyboard: the arrows choose,
// Enter uses what is chosen.
type Grid struct {
	widget.BaseWidget
	p       *Sheet
	cells   []*Cell // as they stand
	inside  *fyne.Container
	scroll  *container.Scroll
	ring    *canvas.Rectangle
	plan    cellPlan
	focused bool
}

var (
	_ fyne.Focusable      = (*Grid)(nil)
	_ fyne.WidgetRenderer = (*gridRenderer)(nil)
)

func newGrid(p *Sheet) *Grid {
	g := &Grid{p: p, ring: canvas.NewRectangle(nil)}
	g.inside = container.New(cellLayout{g})
	g.scroll = container.NewVScroll(g.inside)
	g.ring.StrokeWidth, g.ring.CornerRadius = 1, 4
	g.ExtendBaseWidget(g)
	return g
}

// Content is what the grid shows: its cells.
func (g *Grid) Content() fyne.CanvasObject { return g.inside }

// setCells puts other cells in, in their order.
func (g *Grid) setCells(cells []*Cell) {
	g.cells = cells
	g.inside.Objects = nil
	for _, c := range cells {
		g.inside.Objects = append(g.inside.Objects, c)
	}
	g.arrange()
}

// arrange plans the cells anew; the pictures' size may change.
func (g *Grid) arrange() {
	room := g.Size().SubtractWidthHeight(4, 4)
	if room.Width < leastCell || len(g.cells) == 0 {
		return
	}
	if plan := planCells(len(g.cells), g.p.captionLines(), room, g.p.aspect()); plan != g.plan {
		g.plan = plan
		g.p.resized()
	}
	g.inside.Refresh()
	g.scroll.Refresh()
}

// cellLayout stands cells in rows, as planned.
type cellLayout struct{ g *Grid }

func (l cellLayout) MinSize(all []fyne.CanvasObject) fyne.Size {
	if l.g.plan.across == 0 {
		return fyne.Size{}
	}
	return fyne.NewSize(leastCell, l.g.plan.height(len(all)))
}

func (l cellLayout) Layout(all []fyne.CanvasObject, _ fyne.Size) {
	plan := l.g.plan
	if plan.across == 0 {
		return
	}
	for i, o := range all {
		o.Resize(plan.cell)
		o.Move(fyne.NewPos(float32(i%plan.across)*(plan.cell.Width+cellGap), float32(i/plan.across)*(plan.cell.Height+cellGap)))
	}
}

func (g *Grid) FocusGained() { g.setFocused(true) }
func (g *Grid) FocusLost()   { g.setFocused(false) }

func (g *Grid) setFocused(on bool) {
	g.focused = on
	g.Refresh()
}

func (g *Grid) TypedRune(r rune) {
	switch r {
	case '+':
		g.p.zoom(1, 0.5, 0.5)
	case '-':
		g.p.zoom(-1, 0.5, 0.5)
	}
}

func (g *Grid) TypedKey(e *fyne.KeyEvent) {
	if !g.typed(e.Name) {
		look.PassKey(g, e)
	}
}

// typed does what a key asks for, and reports whether that is anything.
func (g *Grid) typed(key fyne.KeyName) bool {
	by := map[fyne.KeyName]int{
		fyne.KeyLeft: -1, fyne.KeyRight: 1, fyne.KeyUp: -g.plan.across, fyne.KeyDown: g.plan.across,
		fyne.KeyHome: math.MinInt32, fyne.KeyEnd: math.MaxInt32,
	}[key]
	switch {
	case by != 0:
		g.p.chooseBy(by)
	case key == fyne.KeyReturn || key == fyne.KeyEnter:
		g.p.use()
	default:
		return false
	}
	return true
}

// reveal scrolls to a cell.
func (g *Grid) reveal(place int) {
	if g.plan.across == 0 {
		return
	}
	top := float32(place/g.plan.across) * (g.plan.cell.Height + cellGap)
	switch {
	case top < g.scroll.Offset.Y:
		g.scroll.Offset.Y = top
	case top+g.plan.cell.Height > g.scroll.Offset.Y+g.scroll.Size().Height:
		g.scroll.Offset.Y = top + g.plan.cell.Height - g.scroll.Size().Height
	default:
		return
	}
	g.scroll.Refresh()
}

func (g *Grid) MinSize() fyne.Size { return fyne.NewSize(leastCell+8, 200) }

func (g *Grid) CreateRenderer() fyne.WidgetRenderer {
	r := &gridRenderer{g}
	r.Refresh()
	return r
}

type gridRenderer struct{ g *Grid }

func (r *gridRenderer) Layout(s fyne.Size) {
	r.g.ring.Resize(s)
	r.g.scroll.Move(fyne.NewPos(2, 2))
	r.g.scroll.Resize(s.SubtractWidthHeight(4, 4))
	r.g.arrange()
}

func (r *gridRenderer) MinSize() fyne.Size { return r.g.MinSize() }
func (r *gridRenderer) Destroy()           {}
func (r *gridRenderer) Objects() []fyne.CanvasObject {
	return []fyne.CanvasObject{r.g.scroll, r.g.ring}
}

func (r *gridRenderer) Refresh() {
	r.g.ring.FillColor, r.g.ring.StrokeColor = nil, nil
	if r.g.focused {
		r.g.ring.StrokeColor = look.Off
	}
	r.g.ring.Refresh()
}
