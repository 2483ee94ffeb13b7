package ui

import (
	"fmt"
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// A matteRow shows the mattes of the study, each with its true small picture
// and its area. One is chosen: the column is about it.
type matteRow struct {
	desk   *desk.Desk
	menu   *menu
	rename func() // asks for the chosen matte's name
	cards  []*matteCard
	row    *fyne.Container
	add    *look.Button
	proof  *look.Button // opens the chosen matte's proofs
	keep   *look.Button
	all    fyne.CanvasObject
}

// A matteCard is one matte.
type matteCard struct {
	*look.Pressable
	id      int
	picture *canvas.Image
	name    *look.Label
	area    *look.Label
	word    *look.Label
	shown   *look.Switch
	drawn   *image.RGBA
}

const (
	cardWidth, cardHeight = 196, 44
	rowHeight             = 52
)

func newMatteRow(d *desk.Desk, m *menu, rename, proofs func()) *matteRow {
	r := &matteRow{desk: d, menu: m, rename: rename, row: look.HBox(8)}
	r.add = look.NewButton("+ New matte", func() { d.NewMatte() })
	r.add.Kind = look.Quiet
	r.add.SetHint(m.WithKey("Isolate another thing", "New matte"))
	scroll := container.NewHScroll(look.Pad(12, 4, 12, 4, r.row))
	r.proof = look.NewButton("Proofs", proofs)
	r.proof.SetHint(m.WithKey("Alternatives of this matte side by side, kept ones and sweeps", "Proofs…"))
	r.proof.SetWidth(84)
	r.keep = look.NewButton("Keep as proof", d.KeepProof)
	r.keep.SetHint(m.WithKey("Keep this matte's settings as they are, to go back to or to compare with", "Keep as proof"))
	right := look.Pad(8, 0, 16, 0, look.HBox(8, container.NewCenter(r.proof), container.NewCenter(r.keep)))
	r.all = look.Fixed(0, rowHeight, look.Ground(look.Row, container.NewBorder(nil, nil, nil, right, scroll)))
	return r
}

func (r *matteRow) object() fyne.CanvasObject { return r.all }

func (r *matteRow) newCard(id int) *matteCard {
	c := &matteCard{id: id, picture: canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1)))}
	c.picture.FillMode, c.picture.ScaleMode = canvas.ImageFillStretch, canvas.ImageScaleFastest
	c.name = look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.Text, Bold: true})
	c.area = look.NewLabel("", look.Style{Size: look.AxisSize, Colour: look.Second})
	c.word = look.NewLabel("", look.Style{Size: look.AxisSize, Colour: look.Second, Align: fyne.TextAlignTrailing})
	c.shown = look.NewSwitch("Shown: its outlines are drawn, whichever matte is chosen, and its trial grades", func(on bool) { r.desk.SetShown(id, on) })
	top := container.NewBorder(nil, nil, nil, c.shown, c.name)
	bottom := container.NewStack(c.area, c.word)
	text := look.VBox(0, look.Fixed(112, 24, top), look.Fixed(112, 16, bottom))
	content := look.HBox(8, look.HGap(0), container.NewCenter(look.Fixed(64, 36, c.picture)), container.NewCenter(text))
	c.Pressable = look.NewPressable(content, fyne.NewSize(cardWidth, cardHeight), "Press to work on this matte; Enter renames it; right button for more", func() { r.desk.Choose(id) })
	c.Fill, c.FillChosen, c.Bordered = look.Card, look.Card, true
	c.OnMenu = func(at fyne.Position) { r.desk.Choose(id); r.menu.Pop("Matte", at) }
	c.OnEnter = r.rename
	c.OnKey = func(k fyne.KeyName) bool {
		switch k {
		case fyne.KeyLeft:
			r.desk.NextMatte(-1)
		case fyne.KeyRight:
			r.desk.NextMatte(1)
		default:
			return false
		}
		return true
	}
	return c
}

// display puts the study's mattes on the cards.
func (r *matteRow) display() {
	var mattes []study.Matte
	if s := r.desk.Study(); s != nil {
		mattes = s.Mattes
	}
	if r.desk.Study() == nil {
		r.add.Disable()
	} else {
		r.add.Enable()
	}
	r.displayProofs()
	if r.differ(mattes) {
		r.build(mattes)
	}
	for i, c := range r.cards {
		c.SetChosen(c.id == r.desk.MatteID)
		c.name.SetText(mattes[i].Name)
		c.shown.Set(r.desk.Shows(c.id))
		c.word.SetText(wordOf(&mattes[i], r.desk.Shows(c.id)))
		c.area.SetText(areaText(&mattes[i], r.desk.Found.Thumbs[c.id]))
		r.show(c, r.desk.Found.Thumbs[c.id])
	}
}

// displayProofs tells how many proofs the chosen matte has.
func (r *matteRow) displayProofs() {
	m := r.desk.Matte()
	r.proof.SetEnabled(m != nil)
	r.keep.SetEnabled(m != nil)
	label := "Proofs"
	if m != nil && len(m.Proofs) > 0 {
		label = fmt.Sprintf("Proofs %d", len(m.Proofs))
	}
	r.proof.SetLabel(label)
}

// wordOf says on a matte's card what its picture does not.
func wordOf(m *study.Matte, shown bool) string {
	switch {
	case m.NotExported:
		return "not exported"
	case shown:
		return "shown"
	}
	return "hidden"
}

// areaText says how much of the frame a matte holds; the figure alone, where a longer word
// stands beside it or before it.
func areaText(m *study.Matte, t watch.Thumb) string {
	switch {
	case t.Small == nil && m.NotExported:
		return "…"
	case t.Small == nil:
		return "area …"
	case m.NotExported:
		return study.AreaWords(t.Area, t.Exact)
	}
	return t.AreaWords()
}

// show puts a matte's small picture on its card.
func (r *matteRow) show(c *matteCard, t watch.Thumb) {
	if t.Small != nil && c.drawn != t.Small {
		c.drawn = t.Small
		c.picture.Image = t.Small
		c.picture.Refresh()
	}
}

func (r *matteRow) differ(mattes []study.Matte) bool {
	if len(mattes) != len(r.cards) || len(r.row.Objects) == 0 {
		return true
	}
	for i, c := range r.cards {
		if c.id != mattes[i].ID {
			return true
		}
	}
	return false
}

func (r *matteRow) build(mattes []study.Matte) {
	old := map[int]*matteCard{}
	for _, c := range r.cards {
		old[c.id] = c
	}
	r.cards, r.row.Objects = nil, nil
	for _, m := range mattes {
		c := old[m.ID]
		if c == nil {
			c = r.newCard(m.ID)
		}
		r.cards = append(r.cards, c)
		r.row.Add(c.Pressable)
	}
	r.row.Add(container.NewCenter(r.add))
	r.row.Refresh()
}
