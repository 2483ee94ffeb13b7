package panels

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/widget"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// A joinsList lists the mattes that the chosen one takes in, in their order. Above it
// stand what joins another one, and what leaves the matte to its masks alone.
type joinsList struct {
	desk   *desk.Desk
	host   Host
	rows   []*joinLine
	title  *look.Label
	join   *look.Button
	alone  *look.Button
	head   *fyne.Container
	list   *fyne.Container
	scroll *fyne.Container
	all    *fyne.Container
}

// A joinLine is one joined matte in the list.
type joinLine struct {
	*look.Pressable
	name *look.Label
	how  *look.Select
	off  *look.Button
}

const (
	joinLinesShown = 2 // more scroll
	howWidth       = 92
)

func newJoinsList(d *desk.Desk, parts Parts) *joinsList {
	l := &joinsList{desk: d, host: parts.Host, list: look.VBox(0)}
	l.title = look.NewLabel("Joined", look.Style{Size: look.SmallSize, Colour: look.Text})
	l.join = look.NewButton("Join matte…", parts.Asks.JoinMatte)
	l.join.SetHint("Take the final matte of another in: its pick, masks and edge, without its trial")
	l.alone = look.NewButton("Mask alone", d.MaskAlone)
	l.alone.SetHint("Take all ranges of the pick off: it keeps everything, so that the masks alone say what the matte is")
	l.head = look.HFill(8, 0, l.title, l.alone, l.join)
	l.scroll = container.New(joinsHeight{l}, container.NewVScroll(l.list))
	l.all = look.VBox(0, l.head, l.scroll)
	return l
}

// joinsHeight gives the list room for the lines it has, up to a limit.
type joinsHeight struct{ l *joinsList }

func (h joinsHeight) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(200, maskLineHeight*float32(min(joinLinesShown, len(h.l.rows))))
}

func (joinsHeight) Layout(o []fyne.CanvasObject, s fyne.Size) { o[0].Resize(s) }

func (l *joinsList) display() {
	s, m := l.desk.Study(), l.desk.Matte()
	if m == nil {
		return
	}
	others, alone := len(s.Mattes) > 1, l.desk.CanMaskAlone()
	if others != l.join.Visible() || alone != l.alone.Visible() {
		look.Show(l.title, others)
		look.Show(l.join, others)
		look.Show(l.alone, alone)
		l.head.Refresh()
	}
	look.Show(l.all, others || alone)
	able(l.join, len(l.desk.Joinable()) > 0)
	l.build(len(m.Joins))
	look.Show(l.scroll, len(m.Joins) > 0)
	for i, j := range m.Joins {
		l.rows[i].name.SetText(s.Matte(j.With).Name)
		l.rows[i].how.Set(int(j.How))
	}
}

// build makes so many lines.
func (l *joinsList) build(n int) {
	if n == len(l.rows) {
		return
	}
	for len(l.rows) < n {
		l.rows = append(l.rows, l.newLine(len(l.rows)))
	}
	l.rows = l.rows[:n]
	l.list.Objects = nil
	for _, r := range l.rows {
		l.list.Add(r.Pressable)
	}
	l.list.Refresh()
	l.scroll.Refresh()
}

// newLine is the line of the i-th joined matte, whichever that is.
func (l *joinsList) newLine(i int) *joinLine {
	d := l.desk
	r := &joinLine{name: look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.Text})}
	r.how = look.NewSelect(desk.HowNames, desk.HowHint, func(how int) { d.SetHow(i, study.How(how)) })
	r.how.SetWidth(howWidth)
	r.off = look.NewIconButton(look.Cross, "Take this matte out again", func() { d.Unjoin(i) })
	content := container.NewBorder(nil, nil, look.HGap(8), look.Pad(0, 2, 0, 2, look.HBox(4, r.how, r.off)), r.name)
	goThere := func() { d.Choose(d.Matte().Joins[i].With) }
	r.Pressable = look.NewPressable(content, fyne.NewSize(0, maskLineHeight),
		"Press to work on that matte; up and down move it in the order, Delete takes it out; right button for more", goThere)
	r.OnMenu = func(at fyne.Position) { l.pop(i, at) }
	r.OnKey = func(k fyne.KeyName) bool {
		switch k {
		case fyne.KeyUp:
			l.move(i, -1)
		case fyne.KeyDown:
			l.move(i, 1)
		case fyne.KeyDelete:
			d.Unjoin(i)
		default:
			return false
		}
		return true
	}
	return r
}

// move moves the i-th joined matte, and the keyboard with it.
func (l *joinsList) move(i, by int) {
	to := i + by
	if to < 0 || to >= len(l.rows) {
		return
	}
	l.desk.MoveJoin(i, by)
	look.Focus(l.rows[to].Pressable)
}

// pop shows what can be done about the i-th joined matte.
func (l *joinsList) pop(i int, at fyne.Position) {
	up := fyne.NewMenuItem("Move up", func() { l.desk.MoveJoin(i, -1) })
	up.Disabled = i == 0
	down := fyne.NewMenuItem("Move down", func() { l.desk.MoveJoin(i, 1) })
	down.Disabled = i == len(l.rows)-1
	widget.ShowPopUpMenuAtPosition(fyne.NewMenu("", up, down, fyne.NewMenuItem("Take out", func() { l.desk.Unjoin(i) })), l.host.Canvas(), at)
}
