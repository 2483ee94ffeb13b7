package panels

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/field"
	"halocline/app/ui/look"
	"halocline/app/view/density"
	"halocline/selection"
)

// A pickPanel tunes the chosen matte's pick: by dabs, by the lines of the field,
// by numbers.
type pickPanel struct {
	desk       *desk.Desk
	keys       Keys
	keep, drop *look.Button
	use        *look.Segments  // what dabs are for
	uses       *fyne.Container // its row, with how many are for masks
	forMasks   *look.Label     // says how many
	stale      *look.Label     // why a pick from another clip is to be fitted again
	model      *look.Segments
	models     *look.Segments // model, with the plane: where there is one, or one is offered
	offer      *planeOffer
	plane      *planePart
	field      *field.Field
	rows       [3]*limitRow
	suggest    *look.Button
	smooth     *look.Switch
	separate   *look.Button // swaps the numbers for the separation
	separation *separation
	grid       fyne.CanvasObject // the numbers
	card       *offerCard
	controls   *fyne.Container
	heads      *fyne.Container   // above the numbers
	headRow    fyne.CanvasObject // as high as it is to be
	keyHead    fyne.CanvasObject // seen while the rows have keys
	density    *density.Map      // as the field has it
	sampled    sampled           // whose dabs the field shows
	all        fyne.CanvasObject
}

// A sampled says what the dabs' colours in the field were read for.
type sampled struct {
	about *study.Study
	model selection.Model
}

// A limitRow is the numbers of one channel.
type limitRow struct {
	on, allBut *look.Switch
	name       *look.Label
	numbers    [4]*look.Number // fade before, from, to, fade after
	key        *keyControl
	all        *fyne.Container
}

func newPickPanel(d *desk.Desk, parts Parts, v *values) *pickPanel {
	p := &pickPanel{desk: d, keys: parts.Keys}
	p.keep = look.NewButton("Keep dab", func() { d.UseDab(study.Keep) })
	p.keep.SetIcon(look.Disc)
	p.keep.SetHint(parts.Keys.WithKey("A press on the frame says: keep this; the right button makes the other kind", "Keep dabs"))
	p.drop = look.NewButton("Drop dab", func() { d.UseDab(study.Drop) })
	p.drop.SetIcon(look.Square)
	p.drop.SetHint(parts.Keys.WithKey("A press on the frame says: leave this out", "Drop dabs"))
	use := func(i int) { d.UseModel(selection.Model(i)) }
	p.model = look.NewSegments([]string{"HSL", "LCh"}, use)
	p.model.SetToolTip("What the ranges are of: hue, saturation, lightness; or hue, chroma, lightness of CIELAB")
	p.models = look.NewSegments([]string{"HSL", "LCh", "Plane"}, use)
	p.models.SetToolTip("What the pick is by: ranges of hue, saturation, lightness; of hue, chroma, lightness of CIELAB; or one side of a plane in CIELAB")
	p.field = field.New(p.edited)
	p.suggest = look.NewButton(desk.SuggestLabel, d.Suggest)
	p.smooth = look.NewSwitch("The pick reads the picture after its noise is smoothed; what is shown stays as it is", func(on bool) {
		d.EditMatte("Smooth noise", func(m *study.Matte) error {
			m.Pick.Smooth = on
			return nil
		})
	})
	axis := look.Style{Size: look.AxisSize, Colour: look.Second, Align: fyne.TextAlignTrailing}
	grid := look.VBox(2, p.headings())
	for c := range p.rows {
		p.rows[c] = p.newRow(selection.Channel(c), parts.Status, v)
		grid.Add(p.rows[c].all)
	}
	p.offer, p.plane = newPlaneOffer(d), newPlanePart(p, parts.Status, v)
	grid.Add(p.plane.all)
	p.use = look.NewSegments(desk.DabUseNames, func(i int) { d.SetDabUse(desk.DabUse(i)) })
	p.forMasks = look.NewLabel("", look.Style{Size: look.AxisSize, Colour: look.Second})
	p.uses = look.VBox(0, container.NewBorder(nil, nil, look.NewTightLabel("Dabs are for", axis), p.use), p.forMasks)
	p.use.SetHint("What new dabs are for: the colours of the pick, the edges that masks search for, or both")
	p.stale = look.NewLabel("", look.Style{Size: look.AxisSize, Colour: look.Warn})
	p.card = newOfferCard(p, parts.Host)
	p.grid, p.separation = grid, newSeparation(d, parts.Keys)
	p.separate = look.NewButton("Separation", d.ToggleSeparation)
	p.separate.SetHint(parts.Keys.WithKey("How well colour tells the dabs apart, in place of the numbers", "Separation of the dabs"))
	p.controls = look.VBox(6, container.NewStack(grid, p.separation.all),
		container.NewBorder(nil, nil, look.HBox(4, p.suggest, p.separate), look.HBox(4, look.NewTightLabel("Smooth noise", axis), p.smooth)))
	p.all = look.VBox(8,
		container.NewBorder(nil, nil, look.HBox(8, p.keep, p.drop), container.NewStack(p.model, p.models)),
		p.uses, p.stale, p.offer.all,
		p.field, container.NewStack(p.controls, p.card.all))
	return p
}

func (p *pickPanel) object() fyne.CanvasObject { return p.all }

// limitLayout places a channel's switch, name, four numbers and the switch of 'all but this';
// the numbers take what width is left.
type limitLayout struct{}

const (
	limitLead = 104 // of switch and name
	limitTail = 56  // of the switch of 'all but this'
	limitKey  = 20  // the key's, between name and numbers
)

func (limitLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 28) }

func (limitLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	put := func(o fyne.CanvasObject, x, w, h float32) {
		o.Move(fyne.NewPos(x, (s.Height-h)/2))
		o.Resize(fyne.NewSize(w, h))
	}
	put(o[0], 0, 28, 24)
	put(o[1], 34, limitLead-36, s.Height)
	lead, gap := float32(limitLead), float32(6)
	if len(o) > 7 && o[7].Visible() {
		put(o[7], limitLead-4, 24, 24)
		lead, gap = limitLead+limitKey, 4
	}
	each := (s.Width - lead - limitTail) / 4
	for i := range 4 {
		put(o[2+i], lead+float32(i)*each, each-gap, min(26, s.Height))
	}
	put(o[6], s.Width-28, 28, 24)
}

func (p *pickPanel) headings() fyne.CanvasObject {
	style := look.Style{Size: look.AxisSize, Colour: look.Second, Align: fyne.TextAlignTrailing}
	o := []fyne.CanvasObject{look.NewLabel("", style), look.NewLabel("", style)}
	for _, name := range []string{"fade", "from", "to", "fade"} {
		o = append(o, look.NewLabel(name, style))
	}
	p.keyHead = look.HGap(1)
	o = append(o, look.NewTightLabel("all but this", style), p.keyHead)
	p.heads = container.New(headLayout{}, o...)
	p.headRow = look.Fixed(0, 16, p.heads)
	return p.headRow
}

// headLayout is limitLayout for the names above the numbers.
type headLayout struct{}

func (headLayout) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(300, 16) }

func (headLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	limitLayout{}.Layout(o, s)
	o[6].Move(fyne.NewPos(s.Width-54, 0))
	o[6].Resize(fyne.NewSize(54, s.Height))
}

func (p *pickPanel) newRow(c selection.Channel, status Status, v *values) *limitRow {
	r := &limitRow{name: look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text})}
	change := func(label string, f func(l *study.Limit)) { p.changeLimit(c, label, f) }
	r.on = look.NewSwitch("Off: this channel lets everything in; its numbers are kept", func(on bool) {
		change("Channel on or off", func(l *study.Limit) { l.Off = !on })
	})
	r.allBut = look.NewSwitch("All but this: the range itself is left out", func(on bool) {
		change("All but this", func(l *study.Limit) { l.Inverted = on })
	})
	for i := range r.numbers {
		r.numbers[i] = look.NewNumber(look.Spec{Min: 0, Max: 1, Increment: 0.01, Decimals: 2, Hint: numberHints[i]}, func(v float64, phase study.Phase) { p.typed(c, i, v, phase) })
		r.numbers[i].OnProblem(status.Problem)
	}
	r.key = v.newControl(desk.ValueID{Step: desk.StepPick, Name: desk.RangeValues[c]})
	r.key.holds = func(f fyne.Focusable) bool {
		return slices.ContainsFunc(r.numbers[:], func(n *look.Number) bool { return n.Holds(f) })
	}
	r.all = container.New(limitLayout{}, r.on, r.name, r.numbers[0], r.numbers[1], r.numbers[2], r.numbers[3], r.allBut, r.key.Notch)
	r.key.relay = r.all.Refresh
	return r
}

// changeLimit changes the limit of a channel, by hand.
func (p *pickPanel) changeLimit(c selection.Channel, label string, f func(l *study.Limit)) {
	p.desk.EditMatte(label, func(m *study.Matte) error {
		f(&m.Pick.Limits[c])
		m.Pick.Fitted = false
		return nil
	})
}

var numberHints = [4]string{
	"How far before 'from' the weight fades to zero",
	"Full weight from here on",
	"Full weight up to here",
	"How far after 'to' the weight fades to zero",
}

// edited takes the pick from the field's lines.
func (p *pickPanel) edited(pick selection.Pick, phase study.Phase) {
	frame := p.desk.Frame
	p.desk.SlideMatte("Range", phase, func(m *study.Matte) error {
		desk.PutPick(m, pick, frame)
		return nil
	})
}

// typed takes one number of a channel.
func (p *pickPanel) typed(c selection.Channel, i int, v float64, phase study.Phase) {
	m := p.desk.Matte()
	if m == nil {
		return
	}
	frame := p.desk.Frame
	pick := m.Pick.At(frame)
	pick.Limits[c].Range = withNumber(pick.Model, c, pick.Limits[c].Range, i, v)
	p.desk.Slide(fmt.Sprintf("%s %s", desk.Capital(desk.ShortName(pick.Model, c)), [4]string{"fade before", "from", "to", "fade after"}[i]), phase,
		func(_ *study.Study, m *study.Matte) error {
			desk.PutPick(m, pick, frame)
			return nil
		})
}

// withNumber is a range with one of its four numbers changed. On a line the
// other end gives way; on the hue circle a range runs upward from its from.
func withNumber(m selection.Model, c selection.Channel, r selection.Range, i int, v float64) selection.Range {
	switch i {
	case 0:
		r.Before = v
	case 3:
		r.After = v
	case 1:
		if c == selection.Hue {
			to := r.From + r.Span()
			r.From, r.To = v, v+desk.Turned(to-v)
		} else {
			r.From, r.To = v, max(r.To, v)
		}
	case 2:
		if c == selection.Hue {
			r.To = r.From + desk.Turned(v-r.From)
		} else {
			r.From, r.To = min(r.From, v), v
		}
	}
	return r
}

// limitSpec is what a channel's numbers may be.
func limitSpec(m selection.Model, c selection.Channel, i int) look.Spec {
	s := look.Spec{Max: desk.RangeTop(m, c), Increment: 1, Hint: numberHints[i]}
	switch {
	case c == selection.Hue:
		s.Unit = "°"
	case m == selection.HSL:
		s.Increment, s.Decimals = 0.01, 2
	}
	return s
}

func (p *pickPanel) display() {
	d := p.desk
	m := d.Matte()
	if m == nil {
		return
	}
	keep, drop := desk.CountDabs(m)
	pick := m.Pick.At(d.Frame)
	p.displayModel(pick)
	dab := " dab"
	if p.models.Visible() || keep > 9 && drop > 9 { // they take the room
		dab = ""
	}
	p.keep.SetLabel(fmt.Sprintf("Keep%s  %d", dab, keep))
	p.drop.SetLabel(fmt.Sprintf("Drop%s  %d", dab, drop))
	p.keep.SetChosen(d.DabKind == study.Keep)
	p.drop.SetChosen(d.DabKind == study.Drop)
	p.use.Set(int(d.DabUse()))
	look.Show(p.uses, d.OffersDabUse() && !d.ShowSeparation) // separation needs the room
	p.forMasks.SetText(desk.MaskDabWords(m))
	look.Show(p.forMasks, p.forMasks.Text() != "")
	p.stale.SetText(desk.StaleWords(m))
	look.Show(p.stale, p.stale.Text() != "" && !d.ShowSeparation)
	p.field.SetPick(pick)
	if d.Several() != p.keyHead.Visible() {
		look.Show(p.keyHead, d.Several())
		p.heads.Refresh()
	}
	look.Show(p.grid, !d.ShowSeparation)
	look.Show(p.separation.all, d.ShowSeparation)
	p.separate.SetChosen(d.ShowSeparation)
	p.separation.display()
	p.smooth.Set(m.Pick.Smooth)
	if why := d.WhyNoSuggestion(); why != "" {
		p.suggest.Disable()
		p.suggest.SetHint(why)
	} else {
		p.suggest.Enable()
		p.suggest.SetHint(p.keys.WithKey("Work out the ranges that the dabs ask for, and show what would change", desk.SuggestLabel))
	}
	p.card.display()
	p.showFindings()
}

// displayModel shows the numbers of a pick's model, and which models there are to choose from.
func (p *pickPanel) displayModel(pick selection.Pick) {
	byPlane := pick.Model == selection.PlaneModel
	p.offer.display()
	look.Show(p.models, byPlane || p.desk.PlaneOffer() != "")
	look.Show(p.model, !p.models.Visible())
	p.model.Set(int(pick.Model))
	p.models.Set(int(pick.Model))
	look.Show(p.headRow, !byPlane)
	for c := range p.rows {
		look.Show(p.rows[c].all, !byPlane)
		if !byPlane {
			p.rows[c].display(pick.Model, selection.Channel(c), pick.Limits[c])
		}
	}
	look.Show(p.plane.all, byPlane)
	if byPlane {
		p.plane.display(pick)
	}
}

// preview shows the pick as it would become; nil ends that.
func (p *pickPanel) preview(would *selection.Pick) {
	p.field.SetPreview(would)
	if would != nil && would.Model != selection.PlaneModel {
		would = nil
	}
	p.plane.line.SetPreview(would)
}

// showFindings puts the field's ground and the dabs' colours on it.
func (p *pickPanel) showFindings() {
	f, m := &p.desk.Found, p.desk.Matte()
	if f.Density != nil && f.Density != p.density && f.MatteID == p.desk.MatteID {
		p.density = f.Density
		p.field.SetDensity(f.Density)
	}
	if f.MatteID != p.desk.MatteID {
		return
	}
	if of := (sampled{f.About, m.Pick.Model}); of != p.sampled {
		p.sampled = of
		p.samples(nil)
	}
}

// samplesShown is the most that are drawn of one dab: more would hide the field.
const samplesShown = 9

// samples draws the dabs' colours in the field, with those of one more dab.
func (p *pickPanel) samples(more *selection.Dab) {
	m := p.desk.Matte()
	if m == nil { // it went while a dab was pressed
		return
	}
	dabs := p.desk.Found.Dabs
	if more != nil {
		dabs = append(append([]selection.Dab{}, dabs...), *more)
	}
	var keep, drop []selection.Point
	for i, d := range dabs {
		most := samplesShown
		if more != nil && i == len(dabs)-1 {
			most *= 6
		}
		for j := 0; j < len(d.Colours); j += max(1, len(d.Colours)/most) {
			v := m.Pick.Model.At(d.Colours[j])
			if d.Keep {
				keep = append(keep, v)
			} else {
				drop = append(drop, v)
			}
		}
	}
	p.field.SetSamples(keep, drop)
}

// previewDab shows a pressed dab's colours and the pick as it would become; nil
// ends that.
func (p *pickPanel) previewDab(dab *selection.Dab, would *selection.Pick) {
	p.samples(dab)
	p.sampled = sampled{}
	p.preview(would)
}

func (r *limitRow) display(m selection.Model, c selection.Channel, l selection.Limit) {
	r.name.SetText(desk.Capital(c.Name(m)))
	r.key.display()
	r.on.Set(!l.Off)
	r.allBut.Set(l.Inverted)
	from, to := l.From, l.To
	if c == selection.Hue {
		from, to = desk.Turned(l.From), desk.Turned(l.To)
		if l.Span() >= 360 {
			from, to = 0, 360
		}
	}
	for i, v := range []float64{l.Before, from, to, l.After} {
		r.numbers[i].SetSpec(limitSpec(m, c, i))
		r.numbers[i].Set(v)
		if l.Off {
			r.numbers[i].Disable()
		} else {
			r.numbers[i].Enable()
		}
	}
}
