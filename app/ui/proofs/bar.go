package proofs

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/proof"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/view"
)

// A bar is the head of a sheet of proofs: what is swept, how the proofs are looked
// at, on which frame, in which order.
type bar struct {
	p        *Sheet
	title    *look.Label
	what     *look.Select
	names    []string // of the parameters, as what has them after "nothing"
	from, to *look.Number
	values   *look.Number
	unit     *look.Label
	ends     *fyne.Container // all of the sweep but what is swept
	views    *look.Segments
	frames   *look.Select
	frame    *look.Number
	sort     *look.Select
	all      fyne.CanvasObject
}

func newBar(p *Sheet) *bar {
	b := &bar{p: p}
	word := func(text string) *look.Label {
		return look.NewTightLabel(text, look.Style{Size: look.SmallSize, Colour: look.Second})
	}
	b.title = look.NewTightLabel("Proofs of "+p.matte.Name, look.Style{Size: look.TitleSize, Colour: look.White, Bold: true})
	b.what = look.NewSelect(nil, "The number that is swept over", b.swept)
	b.what.SetWidth(112)
	end := func(set func(s *proof.Sweep, v float64)) func(float64, study.Phase) {
		return func(v float64, _ study.Phase) {
			s := *p.sweep
			set(&s, v)
			p.setSweep(&s)
		}
	}
	b.from = look.NewNumber(look.Spec{}, end(func(s *proof.Sweep, v float64) { s.From = v }))
	b.to = look.NewNumber(look.Spec{}, end(func(s *proof.Sweep, v float64) { s.To = v }))
	b.values = look.NewNumber(look.Spec{Label: "the number of values", Hint: "How many proofs the sweep makes", Min: 2, Max: 24, Increment: 1}, end(func(s *proof.Sweep, v float64) { s.Count = int(v) }))
	b.unit = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	words := "values, finer near 0"
	if p.desk.Several() {
		words = "values"
	}
	number := func(width float32, n *look.Number) fyne.CanvasObject {
		return container.NewCenter(look.Fixed(width, 26, n))
	}
	b.ends = look.HBox(8, word("from"), number(46, b.from), word("to"), number(46, b.to), b.unit, word("in"), number(36, b.values), word(words))
	b.views = look.NewSegments(view.Names(proof.Views), func(i int) { p.setView(proof.Views[i]) })
	b.views.Set(slices.Index(proof.Views, p.view))
	b.sort = look.NewSelect(sortNames(), "The order of the proofs: as they are, or by a figure, the best first", p.setSort)
	b.sort.SetWidth(124)
	right := look.HBox(8, word("Show"), container.NewCenter(b.views))
	if p.desk.Several() {
		right.Add(b.frameChoice())
	}
	right.Add(container.NewCenter(look.Fixed(124, 28, b.sort)))
	left := look.HBox(8, b.title, look.HGap(8), word("Sweep"), container.NewCenter(look.Fixed(112, 28, b.what)), b.ends)
	b.all = container.NewHScroll(container.NewBorder(nil, nil, left, right)) // a narrow window shows a part
	return b
}

// frameChoice is one frame by its number, or four.
func (b *bar) frameChoice() fyne.CanvasObject {
	p := b.p
	b.frames = look.NewSelect([]string{"frame", "four spread"}, "One frame, or four spread over the clip, of which the figures are the means", func(i int) { p.setFrames(p.frame, i == 1) })
	b.frame = look.NewNumber(look.Spec{
		Label: "the frame", Hint: "The frame's number", Min: float64(p.clip[0]), Max: float64(p.clip[len(p.clip)-1]), Increment: 1,
	}, func(v float64, _ study.Phase) {
		if n := int(v); p.desk.HasFrame(n) {
			p.setFrames(n, p.spread)
			return
		}
		p.foot.say(fmt.Sprintf("The clip lacks frame %d", int(v)))
		b.display()
	})
	b.frame.Set(float64(p.frame))
	return look.HBox(4, container.NewCenter(look.Fixed(98, 28, b.frames)), container.NewCenter(look.Fixed(46, 26, b.frame)))
}

func sortNames() []string {
	names := []string{"Sort: as they are"}
	for _, c := range proof.Columns() {
		names = append(names, "Sort: "+c.Name)
	}
	return names
}

// swept takes up the usual sweep over another number, or none.
func (b *bar) swept(i int) {
	b.p.sweep = nil
	if i > 0 {
		b.p.sweepOver(b.names[i-1])
	}
	b.p.build()
}

func (b *bar) display() {
	p := b.p
	at := 0
	labels := []string{"nothing"}
	b.names = nil
	for i, of := range proof.Parameters(&p.matte.Settings) {
		b.names, labels = append(b.names, of.Name), append(labels, of.Label)
		if p.sweep != nil && p.sweep.Of.Name == of.Name {
			at = i + 1
		}
	}
	b.what.SetOptions(labels, at)
	look.Show(b.ends, p.sweep != nil)
	if p.sweep != nil {
		b.showEnds(p.sweep)
	}
	b.views.Set(slices.Index(proof.Views, p.view))
	b.sort.Set(p.sort)
	if b.frames != nil {
		b.frames.Set(0)
		if p.spread {
			b.frames.Set(1)
		}
		look.Show(b.frame, !p.spread)
		b.frame.Set(float64(p.frame))
	}
}

func (b *bar) showEnds(s *proof.Sweep) {
	spec := func(low, high float64) look.Spec {
		decimals := 0
		if s.Of.Round < 0.1 {
			decimals = 2
		}
		return look.Spec{Label: s.Of.Label, Unit: s.Of.Unit, Hint: "Where the sweep ends", Min: low, Max: high, Increment: 10 * s.Of.Round, Decimals: decimals}
	}
	// The ends stay apart by what a value is rounded to.
	b.from.SetSpec(spec(s.Of.Min, s.To-s.Of.Round))
	b.to.SetSpec(spec(s.From+s.Of.Round, s.Of.Max))
	b.from.Set(s.From)
	b.to.Set(s.To)
	b.values.Set(float64(s.Count))
	b.unit.SetText(s.Of.Unit)
	b.unit.SetWidth(look.Style{Size: look.SmallSize}.Measure(s.Of.Unit).Width)
}
