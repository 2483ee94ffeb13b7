package proofs

import (
	"image"
	"math"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/proof"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
	"halocline/app/view"
	"halocline/colour"
)

// A Host is what the proofs lie over.
type Host interface {
	Canvas() fyne.Canvas
	Viewport() view.Viewport         // which part of the frame is looked at
	TellPlaces()                     // is told that controls come or go
	Tell(format string, args ...any) // is told what happens
}

// A Sheet fills the window with proofs of the chosen matte side by side: those
// that are kept, and those of a sweep. Nothing in the study changes before one is
// used or kept.
type Sheet struct {
	desk   *desk.Desk
	host   Host
	sheet  *sheets.Sheet
	worker *worker

	study   *study.Study // as it is shown
	matte   *study.Matte
	sweep   *proof.Sweep // nil: none
	items   []proof.Item
	figures []proof.Figures
	cells   []*Cell // of the items
	order   []int   // in which they stand
	sort    int     // by which column, from 1 on; 0: as they are
	view    view.View
	frame   int // that is looked at
	spread  bool
	clip    []int         // all frames; one of a still
	vp      view.Viewport // of one frame's picture
	chosen  int
	notes   map[int]string // of items that are not kept
	turn    int
	done    bool // all is worked out
	wrong   error

	bar  *bar
	grid *Grid
	side *side
	foot *foot
}

// Open lays the proofs of the desk's chosen matte over a window; nil where there is
// none. Where no proof is kept it begins with a sweep.
func Open(d *desk.Desk, over *sheets.Sheets, h Host) *Sheet {
	m := d.Matte()
	if m == nil {
		return nil
	}
	p := &Sheet{desk: d, host: h, matte: m, frame: d.Frame, clip: d.Frames(), view: viewOf(d.View)}
	if len(p.clip) == 0 {
		p.clip = []int{p.frame}
	}
	if len(m.Proofs) == 0 {
		p.sweepOver("soften")
	}
	p.worker = newWorker(p.take)
	p.bar, p.grid, p.side, p.foot = newBar(p), newGrid(p), newSide(p), newFoot(p)
	info := d.Work.Clip.Info()
	p.vp = view.Viewport{W: info.Width, H: info.Height, VW: 1, VH: 1}.Fit()
	p.open(over)
	p.build()
	p.begin()
	d.Busy = true // to judge the clip would take what the sheet needs
	d.Check()
	return p
}

// viewOf is the view that a sheet begins with: the window's, but for a hatch, which
// is too fine for small pictures.
func viewOf(v view.View) view.View {
	if v == view.Matte || v == view.Trial {
		return v
	}
	return view.Cutout
}

// begin looks at what the window looks at where that is a part of the frame, else at
// the matte's extent.
func (p *Sheet) begin() {
	said := p.foot.said
	defer func() { p.foot.say(said) }()
	if main := p.host.Viewport(); !main.Fitted && main.Zoom > 0 {
		p.look(p.vp.ZoomedAt(0, 0, main.Zoom).At(main.X, main.Y))
		return
	}
	if m := p.desk.Found.Matte; m != nil && p.desk.Fresh() {
		p.look(p.vp.Around(extentOf(m)))
	}
}

// extentOf is the part of the frame where a matte is at least one half.
func extentOf(m *colour.Plane) (r image.Rectangle) {
	for y := range m.H {
		row := m.Row(y)
		first := slices.IndexFunc(row, func(a float32) bool { return a >= 0.5 })
		if first < 0 {
			continue
		}
		last := len(row) - 1
		for row[last] < 0.5 {
			last--
		}
		r = r.Union(image.Rect(first, y, last+1, y+1))
	}
	return r
}

// open lays the sheet over the window.
func (p *Sheet) open(over *sheets.Sheets) {
	inside := container.NewBorder(
		look.Pad(0, 0, 0, 12, p.bar.all), look.Pad(0, 10, 0, 0, p.foot.all),
		nil, look.Pad(16, 0, 0, 0, p.side.all), p.grid)
	status := look.Ground(look.Row, look.Pad(16, 0, 16, 0, p.foot.status))
	content := container.NewStack(canvas.NewRectangle(look.Window),
		container.NewBorder(nil, look.Fixed(0, look.StatusHeight, status), nil, nil, look.Pad(24, 14, 24, 10, inside)))
	p.sheet = over.Cover(content, p.grid)
	p.sheet.OnClosed(p.closed)
	p.sheet.OnTyped(p.grid.typed)
}

func (p *Sheet) closed() {
	p.worker.jobs.Stop()
	p.turn++
	p.desk.Busy = false
	p.desk.Check()
	p.host.TellPlaces()
}

// sweepOver takes up the usual sweep over a parameter.
func (p *Sheet) sweepOver(name string) {
	if of, err := proof.ParameterNamed(&p.matte.Settings, name); err == nil {
		s := proof.Usual(of, p.desk.Work.Clip.Info().Width)
		p.sweep = &s
	}
}

// offer has a sweep of softness look at the softness that the desk offers too, where that
// is of the frame that is judged.
func (p *Sheet) offer() {
	if p.sweep == nil {
		return
	}
	p.sweep.Offered = nil
	if best, ok := p.desk.BestSoftness(); ok && p.sweep.Of.Name == "soften" && p.onDesksFrame() {
		p.sweep.Offered = &best
	}
}

// onDesksFrame reports whether the proofs are judged on the frame that the desk shows, and
// on no other.
func (p *Sheet) onDesksFrame() bool { return p.frame == p.desk.Frame && !p.spread }

// build takes the proofs up anew, from the study as it is now.
func (p *Sheet) build() {
	p.study, p.matte = p.desk.Study(), p.desk.Matte()
	if p.matte == nil {
		p.sheet.Close()
		return
	}
	var was *proof.Item
	if p.chosen < len(p.items) {
		was = &p.items[p.chosen]
	}
	p.offer()
	p.items = proof.Items(p.matte, true, p.sweep)
	p.figures, p.notes = make([]proof.Figures, len(p.items)), map[int]string{}
	p.chosen = slices.IndexFunc(p.items, func(it proof.Item) bool { return it.Now })
	if was != nil {
		if i := slices.IndexFunc(p.items, func(it proof.Item) bool { return proof.Same(it.Settings, was.Settings) }); i >= 0 {
			p.chosen = i
		}
	}
	p.cells = nil
	for i := range p.items {
		p.cells = append(p.cells, newCell(p, i))
	}
	p.turn++
	if p.foot.said = ""; p.sweep != nil && p.sweep.Of.Keyed(&p.matte.Settings) {
		p.foot.said = "The matte's " + p.sweep.Of.Label + " has keys: in a proof of the sweep it is the same on all frames."
	}
	p.inOrder()
	p.ask()
	p.display()
}

// inOrder stands the cells in the order that is asked for.
func (p *Sheet) inOrder() {
	p.order = nil
	for i := range p.items {
		p.order = append(p.order, i)
	}
	if p.sort > 0 {
		p.order = proof.Columns()[p.sort-1].Order(p.figures)
	}
	cells := make([]*Cell, len(p.order))
	for place, i := range p.order {
		cells[place] = p.cells[i]
	}
	p.grid.setCells(cells)
}

// frames are those that are shown and judged.
func (p *Sheet) frames() []int {
	if p.spread {
		return proof.Spread(p.clip, 4)
	}
	return []int{p.frame}
}

// tiles is how many frames' pictures stand in a cell, across and down.
func (p *Sheet) tiles() image.Point {
	n := len(p.frames())
	across := int(math.Ceil(math.Sqrt(float64(n))))
	return image.Pt(across, (n+across-1)/across)
}

// aspect is the height of a cell's picture over its width.
func (p *Sheet) aspect() float32 {
	t := p.tiles()
	return float32(p.vp.H*t.Y) / float32(max(p.vp.W*t.X, 1))
}

// proofs is what is to be worked out.
func (p *Sheet) proofs() *proof.Sheet {
	s := &proof.Sheet{Study: p.study, Matte: p.matte, Items: p.items, Frames: p.frames()}
	if p.desk.Several() {
		s.Clip = p.clip
	}
	if p.vp.W >= watch.WideFrame {
		s.Factor = 2
	}
	return s
}

// resized is told that the cells' pictures have another size.
func (p *Sheet) resized() {
	t, scale := p.tiles(), float64(p.host.Canvas().Scale())
	size := p.grid.plan.picture
	vw, vh := int(math.Round(float64(size.Width)*scale))/t.X, int(math.Round(float64(size.Height)*scale))/t.Y
	p.vp = p.vp.Resized(max(vw, 1), max(vh, 1))
	p.ask()
}

// ask asks for all that is shown to be worked out.
func (p *Sheet) ask() {
	if p.grid.plan.across == 0 || len(p.items) == 0 {
		return // it is not laid out yet
	}
	p.done, p.wrong = false, nil
	s, r := p.proofs(), p.desk.Work.Renderer
	p.worker.jobs.Ask(job{
		sheet: s, pictures: r, figures: figureRenderer(r, p.study, image.Pt(p.vp.W, p.vp.H), p.desk.Several()),
		view: p.view, vp: p.vp, tiles: p.tiles(), order: p.order, turn: p.turn,
	})
}

// take shows what was worked out.
func (p *Sheet) take(all []news) {
	told := false
	for _, n := range all {
		if n.turn != p.turn {
			continue
		}
		switch {
		case n.picture != nil:
			p.cells[n.item].setPicture(n.picture)
			p.host.Tell("proof shown %s", p.items[n.item].Name)
		case n.figures != nil:
			p.figures[n.item] = *n.figures
			p.wrong = firstOf(p.wrong, n.figures.Err)
			told = true
		case n.done:
			p.done, told = true, true
			p.host.Tell("proofs worked out %d", len(p.items))
			if p.sort > 0 {
				p.inOrder()
			}
		default:
			p.wrong, told = firstOf(p.wrong, n.err), true
		}
	}
	if told {
		p.display()
	}
}

func firstOf(a, b error) error {
	if a != nil {
		return a
	}
	return b
}

// display puts the sheet's state on all its parts.
func (p *Sheet) display() {
	least, ok := proof.LeastMisfit(p.items, p.figures)
	columns := p.columns()
	for i, c := range p.cells {
		it := p.items[i]
		tag, accent := "", false
		switch {
		case ok && i == least.Item:
			tag, accent = "least misfit", true
			if !p.graded() {
				tag = "least mismatch"
			}
		case it.Now && it.Name != proof.AsItIs:
			tag = "as it is now"
		case it.Kept != 0 && it.KeptAs == it.Name:
			tag = "kept"
		case it.Kept != 0:
			tag = "kept as " + it.KeptAs
		}
		c.show(it, tag, accent, columns, p.figures[i])
		c.setChosen(i == p.chosen)
	}
	p.bar.display()
	p.side.display()
	p.foot.display()
	p.host.TellPlaces()
}

// columns are the figures under the pictures, known or not: those that the proofs can
// have.
func (p *Sheet) columns() [2][]proof.Column {
	keep, drop := desk.CountDabs(p.matte)
	leave := map[string]bool{"edge mismatch": p.graded(), "separation": keep == 0 || drop == 0, "flicker": !p.flickers()}
	for _, name := range []string{"rim", "bleed", "misfit"} {
		leave[name] = !p.graded()
	}
	leave["masked edge"] = !p.masked()
	return proof.CaptionsBut(leave)
}

// captionLines is how many lines of figures stand under a picture.
func (p *Sheet) captionLines() int {
	c := p.columns()
	return max(len(c[0]), len(c[1]))
}

// graded reports whether a proof has a trial that changes something.
func (p *Sheet) graded() bool {
	return slices.ContainsFunc(p.items, func(it proof.Item) bool { return it.Settings.Trial.At(p.frame).Grades() })
}

// masked reports whether a proof has masks on the frame that is shown.
func (p *Sheet) masked() bool {
	return slices.ContainsFunc(p.items, func(it proof.Item) bool { return len(it.Settings.At(p.frame).Masks) > 0 })
}

// flickers reports whether a frame that is judged has one before it.
func (p *Sheet) flickers() bool {
	return p.desk.Several() && slices.ContainsFunc(p.frames(), func(n int) bool { return slices.Contains(p.clip, n-1) })
}
