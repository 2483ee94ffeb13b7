package frame

import (
	"fmt"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/ui/look"
	"halocline/app/ui/viewer"
	"halocline/app/view"
)

// A viewRow names the views, with their digits, and the zoom.
type viewRow struct {
	desk    *desk.Desk
	viewer  *viewer.Viewer
	row     *fyne.Container
	tabs    map[view.View]*viewTab
	compare *viewTab
	other   *look.Select
	others  *fyne.Container
	zoom    *look.Button
	frame   *look.Label // which of several
	all     fyne.CanvasObject
}

// CompareDigit is the key that shows two views side by side. Each view has the digit
// of its place in the list, which begins at 1.
const CompareDigit = 0

var viewHints = map[view.View]string{
	view.Frame:   "The frame after Base",
	view.Matte:   "White is in, black is out",
	view.Hatch:   "What is out lies under a hatch",
	view.Cutout:  "What is in, cut out",
	view.Reasons: "Why each pixel is out; rest the pointer on one to ask",
	view.Trial:   "The frame graded through the mattes that are shown; hold " + string(BypassKey) + " to see it without",
}

func newViewRow(d *desk.Desk, v *viewer.Viewer, keys Keys) *viewRow {
	r := &viewRow{desk: d, viewer: v, tabs: map[view.View]*viewTab{}}
	row := look.HBox(2)
	r.row = row
	for i, each := range view.All {
		r.tabs[each] = newTab(i+1, each.String(), keys.WithKey(viewHints[each], each.String()), func() { d.Set(func() { d.View = each }) })
		row.Add(r.tabs[each].Pressable)
	}
	r.compare = newTab(CompareDigit, "Compare", keys.WithKey("Two views side by side, with a divider to drag", "Compare"), d.ToggleCompare)
	row.Add(r.compare.Pressable)
	r.other = look.NewSelect(view.Names(view.All), "The view on the left of the divider", func(i int) { d.Set(func() { d.Other = view.All[i] }) })
	r.others = container.NewCenter(look.Fixed(110, 26, r.other))
	row.Add(r.others)
	r.zoom = look.NewButton("Fit", v.Fit)
	r.zoom.Kind = look.Quiet
	r.zoom.SetHint(keys.WithKey("Fit the frame into the view; the wheel zooms at the pointer", "Fit"))
	r.frame = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second, Align: fyne.TextAlignTrailing})
	r.all = look.Pad(10, 2, 8, 2, look.HFill(8, 1, look.Centre(row), look.Centre(r.frame), look.Centre(look.Fixed(100, 28, r.zoom))))
	return r
}

// A viewTab is a view's name with its digit.
type viewTab struct {
	*look.Pressable
	digit *look.Label
}

func newTab(digit int, name, hint string, pressed func()) *viewTab {
	t := &viewTab{digit: look.NewTightLabel(fmt.Sprint(digit), look.Style{Size: look.AxisSize, Colour: look.Second})}
	text := look.HBox(5, look.HGap(5), t.digit, look.NewTightLabel(name, look.Style{Size: look.BodySize, Colour: look.Text}), look.HGap(5))
	t.Pressable = look.NewPressable(text, fyne.NewSize(0, 28), hint, pressed)
	return t
}

// choose shows whether the view is looked at. The quiet digit would be hard to
// read on the ground of what is chosen.
func (t *viewTab) choose(chosen bool) {
	t.SetChosen(chosen)
	t.digit.SetColour(look.Second)
	if chosen {
		t.digit.SetColour(look.White)
	}
}

func (r *viewRow) display() {
	d := r.desk
	for v, tab := range r.tabs {
		tab.choose(v == d.View)
	}
	if tab := r.tabs[view.Trial].Pressable; tab.Visible() != r.desk.TrialStands() {
		look.Show(tab, !tab.Visible())
		r.row.Refresh()
	}
	r.compare.choose(d.Compare)
	if d.Compare {
		r.others.Show()
	} else {
		r.others.Hide()
	}
	r.other.Set(slices.Index(view.All, d.Other))
	r.frame.SetText(r.desk.FrameText())
	r.showZoom(r.viewer.Viewport())
}

func (r *viewRow) showZoom(vp view.Viewport) {
	text := fmt.Sprintf("%.0f %%", vp.Percent())
	if vp.Fitted {
		text = "Fit, " + text
	}
	r.zoom.SetLabel(text)
}
