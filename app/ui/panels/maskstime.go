package panels

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/mask"
)

// A maskTime is what the masks panel has for clips of several frames: when the
// chosen mask works, its keys, which of them a move changes.
type maskTime struct {
	desk          *desk.Desk
	values        *values
	in, out       *look.Number
	of            *look.Label
	before, after *look.Button
	add, cut      *look.Button
	neighbours    *look.Switch
	leading       *look.Label
	way           *look.Segments
	start         *look.Segments  // in place of way before the first key
	ways          *fyne.Container // the row of both
	spare         *spareRow
	reach         *look.Segments
	border        *canvas.Rectangle
	all           *fyne.Container
}

func newMaskTime(d *desk.Desk, parts Parts, v *values, rows snug) *maskTime {
	t := &maskTime{desk: d, values: v}
	text := look.Style{Size: look.SmallSize, Colour: look.Text}
	t.in = look.NewNumber(look.Spec{}, func(v float64, _ study.Phase) { d.SetIn(int(v)) })
	t.out = look.NewNumber(look.Spec{}, func(v float64, _ study.Phase) { d.SetOut(int(v)) })
	for _, n := range []*look.Number{t.in, t.out} {
		n.OnProblem(parts.Status.Problem)
	}
	t.of = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	t.before = look.NewIconButton(look.KeyBefore, parts.Keys.WithKey("Previous key", "Previous key"), func() { v.goToKey(-1) })
	t.after = look.NewIconButton(look.KeyAfter, parts.Keys.WithKey("Next key", "Next key"), func() { v.goToKey(1) })
	t.add = look.NewIconButton(look.KeyAdd, parts.Keys.WithKey("A key of the shape that the mask has here", "Add key"), d.AddKeyHere)
	t.cut = look.NewIconButton(look.KeyRemove, parts.Keys.WithKey("Remove the key at this frame", "Remove key"), d.RemoveKeyHere)
	t.neighbours = look.NewSwitch("The outline at the keys before and after this frame, and the way of the chosen vertex", func(bool) { d.ToggleNeighbours() })
	t.leading = look.NewFixedLabel(labelWidth, "", text)
	t.way = look.NewSegments([]string{"step", "straight", "curved", "follow"}, func(i int) { d.SetWay(maskWays[i]) })
	t.way.Tighten() // so that four fit beside the label
	t.way.SetHint("How the mask travels from this key to the next: not until there, evenly, along a smooth curve, or with the picture's motion. Where it follows that, the next key may have other vertices. After the last key it stays as there, or follows")
	t.start = look.NewSegments([]string{"hold", "follow"}, func(i int) { d.SetBefore(mask.Beyond(i == 1)) })
	t.start.SetHint("Before its first key the outline stays as there, or follows the picture's motion")
	t.start.Hide()
	t.ways = look.HBox(0, t.leading, t.way, t.start)
	t.reach = look.NewSegments(desk.ReachNames, func(i int) { d.SetReach(mask.Reach(i)) })
	t.reach.SetHint(fmt.Sprintf("Which keys a move changes, also in the Mask menu: the one at this frame (made if need be), it and all later ones (%s), or all (%s)",
		parts.Keys.KeyOf("Move from here on"), parts.Keys.KeyOf("Move in every key")))
	t.border = canvas.NewRectangle(look.Chosen)
	t.border.StrokeColor, t.border.StrokeWidth, t.border.CornerRadius = look.Accent, 2, 4
	row := func(name string, o ...fyne.CanvasObject) fyne.CanvasObject {
		return look.Fixed(0, rowHeight, look.HBox(6, append([]fyne.CanvasObject{look.NewFixedLabel(labelWidth-6, name, text)}, o...)...))
	}
	t.spare = newSpareRow(d, parts.Asks)
	t.all = container.New(rows,
		row("Frames", look.Centre(t.in), look.NewTightLabel("to", text), look.Centre(t.out), t.of),
		container.NewBorder(nil, nil, row("Keys", look.Centre(look.HBox(2, t.before, t.after, t.add, t.cut))),
			look.HBox(6, look.NewTightLabel("neighbours", text), t.neighbours)),
		t.ways,
		t.spare.all,
		container.New(bordered{}, t.border, container.NewBorder(nil, nil, look.NewFixedLabel(reachLabel, "A move changes", look.Style{Size: look.AxisSize, Colour: look.Text}), nil, t.reach)))
	t.all.Hide()
	return t
}

const reachLabel = 86

// bordered puts a border a little outside of a row.
type bordered struct{}

func (bordered) MinSize(o []fyne.CanvasObject) fyne.Size {
	return o[1].MinSize().AddWidthHeight(0, 4)
}

func (bordered) Layout(o []fyne.CanvasObject, s fyne.Size) {
	o[0].Move(fyne.NewPos(-6, 0))
	o[0].Resize(s.AddWidthHeight(12, 0))
	o[1].Move(fyne.NewPos(0, 2))
	o[1].Resize(s.SubtractWidthHeight(0, 4))
}

func (t *maskTime) display(m *study.Mask) {
	d := t.desk
	look.Show(t.all, d.Several())
	if !d.Several() {
		return
	}
	clip := d.Work.Clip
	t.showFrames(m, clip.First(), clip.Last(), clip.Count())
	_, back := d.KeyBeside(-1, t.values.keyed())
	_, on := d.KeyBeside(1, t.values.keyed())
	able(t.before, back)
	able(t.after, on)
	able(t.add, d.CanAddKey())
	able(t.cut, d.CanRemoveKey())
	t.neighbours.Set(!d.HideNeighbours)
	t.displayWay(m)
	t.spare.display()
	t.reach.Set(int(d.Reach))
	look.Show(t.border, d.Reach != mask.Here)
}

// displayWay shows how the mask goes on from the key that leads to the frame shown, or how it
// stands before the first.
func (t *maskTime) displayWay(m *study.Mask) {
	d := t.desk
	k, ok := desk.KeyLeading(&m.Track, d.Frame)
	able(t.way, ok)
	if ok != t.way.Visible() {
		look.Show(t.way, ok)
		look.Show(t.start, !ok)
		t.ways.Refresh()
	}
	if !ok {
		t.leading.SetText("Before the keys")
		t.start.Set(0)
		if m.Before == mask.Follows {
			t.start.Set(1)
		}
		return
	}
	t.leading.SetText(fmt.Sprintf("After key %d", k.Frame))
	t.way.Set(slices.Index(maskWays, d.WayAfter(m, k)))
}

// showFrames shows on which frames the mask works; where nothing limits them,
// the clip's own.
func (t *maskTime) showFrames(m *study.Mask, first, last, n int) {
	spec := look.Spec{Min: float64(first), Max: float64(last), Increment: 1}
	in, out := spec, spec
	in.Hint = fmt.Sprintf("The mask works from this frame on; %d, the first, is no limit", first)
	out.Hint = fmt.Sprintf("The mask works up to this frame; %d, the last, is no limit", last)
	t.in.SetSpec(in)
	t.out.SetSpec(out)
	from, to := first, last
	if m.In.Set {
		from = m.In.Frame
	}
	if m.Out.Set {
		to = m.Out.Frame
	}
	t.in.Set(float64(from))
	t.out.Set(float64(to))
	t.of.SetText(fmt.Sprintf("of %d", n))
	t.of.SetWidth(look.Style{Size: look.SmallSize}.Measure(t.of.Text()).Width)
}

// able greys a control where there is nothing for it to do.
func able(c interface {
	Enable()
	Disable()
}, can bool) {
	if can {
		c.Enable()
	} else {
		c.Disable()
	}
}
