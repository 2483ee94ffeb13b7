package proofs

import (
	"fmt"
	"math"
	"slices"

	"fyne.io/fyne/v2"

	"halocline/app/proof"
	"halocline/app/view"
)

// choose makes an item the one that the panel is about and that Enter uses.
func (p *Sheet) choose(item int) {
	if item == p.chosen {
		return
	}
	p.chosen = item
	p.display()
	p.grid.reveal(slices.Index(p.order, item))
}

// chooseBy chooses the cell so many places on.
func (p *Sheet) chooseBy(n int) {
	at := slices.Index(p.order, p.chosen)
	to := at + n
	if n > 1 && to >= len(p.order) && n < 1000 || n < -1 && to < 0 && n > -1000 {
		return // no cell stands below, or above
	}
	p.choose(p.order[max(0, min(to, len(p.order)-1))])
}

// zoom zooms all pictures by notches about a place, as shares of a cell's picture.
func (p *Sheet) zoom(notches, x, y float64) {
	t := p.tiles()
	inTile := func(share float64, n int) float64 { return math.Mod(share*float64(n), 1) }
	p.look(p.vp.ZoomedByNotches(inTile(x, t.X)*float64(p.vp.VW), inTile(y, t.Y)*float64(p.vp.VH), notches))
}

// pan moves all pictures.
func (p *Sheet) pan(by fyne.Delta) {
	scale := float64(p.host.Canvas().Scale())
	p.look(p.vp.Panned(float64(by.DX)*scale, float64(by.DY)*scale))
}

func (p *Sheet) look(vp view.Viewport) {
	if vp == p.vp {
		return
	}
	p.vp = vp
	p.foot.said = ""
	p.ask()
	p.foot.display()
}

// setSweep sweeps otherwise; nil: not at all.
func (p *Sheet) setSweep(s *proof.Sweep) {
	p.sweep = s
	p.build()
}

// setView looks at the proofs in another way.
func (p *Sheet) setView(v view.View) {
	p.view = v
	p.ask()
	p.display()
}

// setFrames looks at another frame, or at four.
func (p *Sheet) setFrames(frame int, spread bool) {
	p.frame, p.spread = frame, spread
	for i := range p.items {
		it := &p.items[i]
		it.Offered = it.Offered && p.onDesksFrame()
	}
	p.figures = make([]proof.Figures, len(p.items))
	p.turn++
	p.grid.plan = cellPlan{}
	p.grid.arrange()
	p.ask()
	p.display()
}

// setSort stands the proofs by another figure.
func (p *Sheet) setSort(by int) {
	p.sort = by
	p.inOrder()
	p.grid.reveal(slices.Index(p.order, p.chosen))
	p.display()
}

// percentText is the zoom as the foot says it.
func (p *Sheet) percentText() string { return fmt.Sprintf("Now %.0f %%.", p.vp.Percent()) }
