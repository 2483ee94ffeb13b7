package panels

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// A masksPanel lists the chosen matte's masks and what it takes in, and sets the mask that
// is chosen.
type masksPanel struct {
	desk       *desk.Desk
	masks      Masks
	keys       Keys
	rename     func()
	rows       []*maskLine
	lines      snug            // how rows of the list stand
	begin      [2]*look.Button // by kind: draws a new mask
	list       *fyne.Container
	scroll     *fyne.Container
	rail       *container.Scroll
	seen       int // the mask that was chosen when last displayed
	none       *look.Label
	joins      *joinsList
	inner      *look.ValueRow
	outer      *look.ValueRow
	feathers   *look.ValueRow // of all masks at once
	opacity    *look.ValueRow
	kind       *look.Segments
	rounded    *look.Switch
	vertices   *look.Label
	add, cut   *look.Button
	search     *maskSearch
	time       *maskTime
	properties *fyne.Container
	all        fyne.CanvasObject
}

// A maskLine is one mask in the list.
type maskLine struct {
	*look.Pressable
	id             int
	mark           *look.MarkImage
	name, kind, at *look.Label
	on             *look.Switch
}

const (
	maskLineHeight = rowHeight
	maskLinesShown = 4 // more scroll
)

func newMasksPanel(d *desk.Desk, parts Parts, v *values, tall func() bool) *masksPanel {
	p := &masksPanel{desk: d, masks: parts.Masks, keys: parts.Keys, rename: parts.Asks.RenameMask, lines: snug{d, tall, 0, 0, true}}
	p.list = container.New(p.lines)
	keep := look.NewButton("New keep mask", func() { p.masks.NewMask(study.Keep) })
	keep.SetIcon(look.Disc)
	keep.SetHint(p.keys.WithKey("Then press on the frame, vertex by vertex; the first one again, or Enter, closes it", "New keep mask"))
	drop := look.NewButton("New drop mask", func() { p.masks.NewMask(study.Drop) })
	drop.SetIcon(look.Square)
	drop.SetHint(p.keys.WithKey("What lies inside is left out", "New drop mask"))
	p.begin[study.Keep], p.begin[study.Drop] = keep, drop
	p.none = look.NewTightLabel("No mask yet: the matte is what the pick keeps.", look.Style{Size: look.SmallSize, Colour: look.Second})
	p.inner = p.value(specOf(study.InwardSpec), func(k *study.MaskKey, v float64) { k.Inner = v })
	p.outer = p.value(specOf(study.OutwardSpec), func(k *study.MaskKey, v float64) { k.Outer = v })
	p.opacity = p.value(inPercent(study.OpacitySpec), func(k *study.MaskKey, v float64) { k.Opacity = v / 100 })
	all := specOf(study.OutwardSpec)
	all.Label, all.Hint = "All feathers", "The feather outward of all masks that are on, in all their keys: the widest of them is shown, and each gets what is set"
	p.feathers = look.NewValueRow(all, labelWidth, d.SlideFeathers)
	for _, row := range []*look.ValueRow{p.inner, p.outer, p.feathers, p.opacity} {
		row.OnProblem(parts.Status.Problem)
	}
	p.kind = look.NewSegments([]string{"keep", "drop"}, func(i int) {
		d.EditMask("Keep or drop", func(t *study.Mask) error {
			t.Kind = study.Kind(i)
			return nil
		})
	})
	p.rounded = look.NewSwitch(p.keys.WithKey("A smooth curve through the vertices", "Rounded"), func(on bool) {
		d.EditMask("Rounded", func(t *study.Mask) error {
			t.Rounded = on
			return nil
		})
	})
	p.vertices = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	p.add = look.NewButton("Add", p.masks.InsertVertex)
	p.add.SetHint(p.keys.WithKey("A vertex in the middle of the line after the chosen one; or double-click a line", "Add vertex"))
	p.cut = look.NewButton("Delete", p.masks.DeleteVertices)
	p.cut.SetHint("The chosen vertex (Delete)")
	text := look.Style{Size: look.SmallSize, Colour: look.Text}
	rows := snug{d, tall, 4, 1, true}
	p.search = newMaskSearch(d, parts)
	p.time = newMaskTime(d, parts, v, rows)
	p.properties = container.New(rows, p.inner, p.outer, p.feathers, p.opacity, p.search.row, p.search.found, p.search.lost[0], p.search.lost[1],
		container.NewBorder(nil, nil, look.NewFixedLabel(labelWidth, "Outline", text), p.kind,
			look.HBox(8, p.rounded, look.NewTightLabel("rounded", text))),
		container.NewBorder(nil, nil, look.NewFixedLabel(labelWidth, "Vertices", text),
			look.HBox(8, p.add, p.cut), p.vertices), p.time.all)
	p.rail = container.NewVScroll(p.list)
	p.scroll = container.New(listHeight{p}, p.rail)
	p.joins = newJoinsList(d, parts)
	p.all = container.New(snug{d, tall, 6, 1, false},
		look.HBox(8, keep, drop), container.NewStack(p.none, p.scroll), p.joins.all, p.properties)
	return p
}

// listHeight gives the list of masks room for those it has, up to a limit.
type listHeight struct{ p *masksPanel }

func (h listHeight) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(200, h.p.lines.row()*float32(max(1, min(maskLinesShown, len(h.p.rows)))))
}

func (listHeight) Layout(o []fyne.CanvasObject, s fyne.Size) { o[0].Resize(s) }

func (p *masksPanel) value(spec look.Spec, put func(k *study.MaskKey, v float64)) *look.ValueRow {
	return look.NewValueRow(spec, labelWidth,
		func(v float64, phase study.Phase) {
			d := p.desk
			frame, reach := d.Frame, d.EditReach()
			d.SlideShape(spec.Label, phase, d.MaskID, reach, func(t *study.Mask) error {
				t.Change(frame, reach, func(k *study.MaskKey) { put(k, v) })
				return nil
			})
		})
}

// snug is a column of rows that moves together where a clip of several frames
// asks for more of them than a low window has room for.
type snug struct {
	desk         *desk.Desk
	tall         func() bool // whether there is room for all of them
	usual, small float32     // gaps
	low          bool        // rows grow lower too
}

// Heights of a row of one line: usual, and as low as what can be pressed may be.
const (
	rowHeight = 28
	lowRow    = 24
)

func (l snug) scarce() bool { return l.desk.Several() && !l.tall() }

func (l snug) gap() float32 {
	if l.scarce() {
		return l.small
	}
	return l.usual
}

// height is how high a row is.
func (l snug) height(row fyne.CanvasObject) float32 {
	h := row.MinSize().Height
	if h == rowHeight {
		return l.row()
	}
	return h
}

// row is how high a row of one line is.
func (l snug) row() float32 {
	if l.low && l.scarce() {
		return lowRow
	}
	return rowHeight
}

func (l snug) MinSize(all []fyne.CanvasObject) (size fyne.Size) {
	for _, o := range all {
		if o.Visible() {
			size = fyne.NewSize(max(size.Width, o.MinSize().Width), size.Height+l.height(o)+l.gap())
		}
	}
	return size.SubtractWidthHeight(0, l.gap())
}

func (l snug) Layout(all []fyne.CanvasObject, s fyne.Size) {
	y := float32(0)
	for _, o := range all {
		if o.Visible() {
			o.Move(fyne.NewPos(0, y))
			o.Resize(fyne.NewSize(s.Width, l.height(o)))
			y += l.height(o) + l.gap()
		}
	}
}

func (p *masksPanel) object() fyne.CanvasObject { return p.all }

func (p *masksPanel) display() {
	d := p.desk
	m := d.Matte()
	var masks []study.Mask
	if m != nil {
		masks = m.Masks
	}
	for k, button := range p.begin {
		button.SetChosen(p.masks.Draws(study.Kind(k)))
	}
	p.build(masks)
	for i, r := range p.rows {
		t := &masks[i]
		r.SetChosen(t.ID == d.MaskID)
		r.name.SetText(t.Name)
		r.kind.SetText(t.Kind.String())
		r.at.SetText(desk.KeysOf(&t.Track))
		r.on.Set(!t.Off)
		r.mark.Set(kindMark(t.Kind), look.Bone)
	}
	if d.MaskID != p.seen {
		p.seen = d.MaskID
		p.scrollToMask(masks)
	}
	p.joins.display()
	look.Show(p.none, len(masks) == 0)
	t := d.Mask()
	look.Show(p.properties, t != nil)
	if t == nil {
		return
	}
	at := t.At(d.Frame)
	p.inner.Set(at.Inner)
	p.outer.Set(at.Outer)
	px, several := d.Feathers()
	look.Show(p.feathers, several)
	p.feathers.Set(px)
	p.opacity.Set(100 * at.Opacity)
	p.kind.Set(int(t.Kind))
	p.rounded.Set(t.Rounded)
	p.search.display(t)
	p.time.display(t)
	if p.vertices.SetText(p.masks.VertexText(len(at.Points))); d.Follows(d.MaskID) {
		p.vertices.SetText("at keys alone")
	}
}

// scrollToMask scrolls to the chosen mask.
func (p *masksPanel) scrollToMask(masks []study.Mask) {
	for i := range masks {
		if masks[i].ID != p.seen {
			continue
		}
		high := p.lines.row()
		top, shown := float32(i)*high, maskLinesShown*high
		if y := p.rail.Offset.Y; top < y || top+high > y+shown {
			p.rail.ScrollToOffset(fyne.NewPos(0, max(0, top+high-shown)))
		}
	}
}

func kindMark(k study.Kind) look.Mark {
	if k == study.Keep {
		return look.Disc
	}
	return look.Square
}

// build makes the list's lines those of the masks.
func (p *masksPanel) build(masks []study.Mask) {
	same := len(masks) == len(p.rows)
	for i := 0; same && i < len(masks); i++ {
		same = masks[i].ID == p.rows[i].id
	}
	if same {
		return
	}
	p.rows, p.list.Objects = nil, nil
	for i := range masks {
		r := p.newLine(masks[i].ID)
		p.rows = append(p.rows, r)
		p.list.Add(r.Pressable)
	}
	p.list.Refresh()
	p.scroll.Refresh()
}

func (p *masksPanel) newLine(id int) *maskLine {
	d := p.desk
	text := func(c look.Style) *look.Label { return look.NewLabel("", c) }
	r := &maskLine{id: id, mark: look.NewMark(look.Disc, look.Bone)}
	r.name = text(look.Style{Size: look.BodySize, Colour: look.Text})
	r.kind = look.NewFixedLabel(44, "", look.Style{Size: look.SmallSize, Colour: look.Second})
	r.at = look.NewFixedLabel(52, "", look.Style{Size: look.SmallSize, Colour: look.Second})
	r.on = look.NewSwitch("Switch this mask off or on", func(bool) {
		d.MaskID = id
		d.ToggleMask()
	})
	content := container.NewBorder(nil, nil,
		look.Pad(8, 0, 8, 0, container.NewCenter(look.Fixed(12, 12, r.mark))),
		look.HBox(4, r.kind, r.at, look.Pad(0, 2, 8, 2, r.on)), r.name)
	choose := func() { d.Set(func() { d.MaskID = id; p.masks.LeaveVertex() }) }
	r.Pressable = look.NewPressable(content, fyne.NewSize(0, maskLineHeight), "Press to edit it; Enter renames it; right button for more", choose)
	r.OnEnter = p.rename
	r.OnMenu = func(at fyne.Position) { choose(); p.keys.Pop("Mask", at) }
	r.OnKey = func(k fyne.KeyName) bool {
		switch k {
		case fyne.KeyUp:
			d.NextMask(-1)
		case fyne.KeyDown:
			d.NextMask(1)
		default:
			return false
		}
		return true
	}
	return r
}
