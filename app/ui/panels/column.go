package panels

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/ui/look"
	"halocline/selection"
)

// A panel is the controls of one step.
type panel interface {
	object() fyne.CanvasObject
	display() // puts the desk's state on the controls
}

// A Column is the right part of the window: the work row, the open step's
// controls, the other steps as lines, and Judge at its foot.
type Column struct {
	desk    *desk.Desk
	open    func() // asks for a file
	values  *values
	work    *workRow
	list    *stepList
	pick    *pickPanel
	panels  map[desk.Step]panel
	control *fyne.Container
	nothing *look.Label // in place of controls of what is not there
	begin   *look.Button
	foot    *fyne.Container // the other steps, under a rule
	middle  *fyne.Container // the controls, and the foot below them
	scroll  *container.Scroll
	high    float32 // what control needed when middle was laid out
	judge   fyne.CanvasObject
	judged  float32 // what judge needed when all was laid out
	all     *fyne.Container
}

// New is the column of a desk; Display shows what is on it.
func New(d *desk.Desk, parts Parts) *Column {
	c := &Column{desk: d, open: parts.Asks.OpenFile, control: container.NewStack(), judge: parts.Judge, all: container.NewStack()}
	c.values = &values{desk: d, host: parts.Host}
	c.work, c.list, c.pick = newWorkRow(d, parts.Keys), newStepList(d), newPickPanel(d, parts, c.values)
	c.panels = map[desk.Step]panel{
		desk.StepBase:  newBasePanel(d, parts, c.values),
		desk.StepPick:  c.pick,
		desk.StepMasks: newMasksPanel(d, parts, c.values, c.tall),
		desk.StepEdge:  newEdgePanel(d, parts, c.values),
		desk.StepTrial: newTrialPanel(d, parts, c.values),
	}
	for _, s := range desk.Steps {
		c.control.Add(look.Pad(12, 12, 12, 6, c.panels[s].object()))
	}
	c.nothing = look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.Second})
	c.begin = look.NewButton("", c.start)
	c.control.Add(look.Pad(12, 12, 12, 6, look.VBox(10, c.nothing, container.NewHBox(c.begin))))
	c.foot = look.VBox(0, look.Rule(), look.Pad(12, 4, 12, 4, c.list.object()))
	c.middle = look.VBox(0, c.control, c.foot)
	c.scroll = container.NewVScroll(c.middle)
	c.all.Add(look.Ground(look.Column, container.NewBorder(c.work.object(), parts.Judge, nil, nil, c.scroll)))
	return c
}

// tall reports whether there is room for more than a low window has.
func (c *Column) tall() bool { return c.all.Size().Height >= look.TallFrom }

// Display shows the state of the desk: how the steps stand, and the controls of the
// one that is open.
func (c *Column) Display() {
	c.work.display()
	c.list.display()
	c.showOpen()
	c.panels[c.desk.Step].display()
	c.settle()
}

// showOpen shows the open step's controls alone. All but Base's are of a matte.
func (c *Column) showOpen() {
	d := c.desk
	there := d.Matte() != nil || d.Step == desk.StepBase && d.Study() != nil
	for i, o := range c.control.Objects[:len(desk.Steps)] {
		look.Show(o, there && desk.Step(i) == d.Step)
	}
	look.Show(c.control.Objects[len(desk.Steps)], !there)
	if d.Study() == nil {
		c.nothing.SetText("Nothing is open.")
		c.begin.SetLabel("Open…")
		return
	}
	c.nothing.SetText("There is no matte yet.")
	c.begin.SetLabel("New matte")
}

// start is what there is to do while the open step has nothing to set.
func (c *Column) start() {
	if c.desk.Study() == nil {
		c.open()
		return
	}
	c.desk.NewMatte()
}

// settle moves what lies below the controls once they need another height, and
// gives the steps' lines the room that is left. Where there is none for any, their rule goes
// too. What lies above Judge moves once that needs another height.
func (c *Column) settle() {
	if h := c.judge.MinSize().Height; h != c.judged {
		c.judged = h
		c.all.Objects[0].Refresh()
	}
	high, footed := c.control.MinSize().Height, c.foot.Visible()
	if room := c.scroll.Size().Height; room > 0 {
		c.list.fit(room - high - listMargin)
		look.Show(c.foot, c.list.shows())
	}
	if high != c.high || footed != c.foot.Visible() {
		c.high = high
		c.middle.Refresh()
	}
}

// listMargin is the rule above the steps' lines, and what is free around them.
const listMargin = 1 + 2*4

// PreviewDab shows in the field the colours of a dab that is pressed, and the pick as it
// would become with it; nil ends either.
func (c *Column) PreviewDab(sample *selection.Dab, would *selection.Pick) {
	c.pick.previewDab(sample, would)
}

// HoverValue marks a colour in the field, the one under the pointer; nil for none.
func (c *Column) HoverValue(v *selection.Point) { c.pick.field.SetHover(v) }
