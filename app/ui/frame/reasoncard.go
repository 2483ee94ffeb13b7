package frame

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/ui/look"
	"halocline/selection"
)

// A reasonCard says why one pixel is in or out, and offers to change it.
type reasonCard struct {
	picture              picture
	head, others, change *look.Label
	include, leave       *look.Button
	all                  *fyne.Container
}

// newReasonCard is a card whose buttons include the pixel, or leave it out.
func newReasonCard(p picture, keys Keys, include, leaveOut func()) *reasonCard {
	small := look.Style{Size: look.SmallSize, Colour: look.Second}
	c := &reasonCard{picture: p, head: look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.White, Bold: true}), others: look.NewLabel("", small), change: look.NewLabel("", small)}
	c.include = look.NewButton("Include this", include)
	c.include.Kind = look.Prominent
	c.include.SetHint(keys.WithKey("Move the one bound that rejects it to just past it", "Include the pixel asked about"))
	c.leave = look.NewButton("Leave this out", leaveOut)
	c.leave.Kind = look.Prominent
	c.leave.SetHint(keys.WithKey("Tighten the bound that costs the keep dabs least", "Leave out the pixel asked about"))
	c.all = cardOn(look.VBox(4, c.head, c.others,
		container.NewBorder(nil, nil, container.NewStack(c.include, c.leave), nil, look.Pad(8, 0, 0, 0, c.change))))
	return c
}

const reasonCardWidth = 356

// show says what there is to say about a pixel.
func (c *reasonCard) show(a *desk.AskedPixel) {
	d := c.picture.desk
	pick := d.Matte().Pick.At(d.Frame)
	weight, _ := c.picture.weightAt(a.X, a.Y)
	reason := d.ReasonAt(*a, weight)
	cause, apart := d.CauseAt(*a, weight)
	c.others.SetText(desk.ChannelsLine(pick, a.Value))
	c.change.SetText("")
	look.Show(c.include, reason >= selection.ByHue && reason <= selection.ByLight)
	look.Show(c.leave, reason == selection.In && !apart)
	switch {
	case apart:
		c.showCause(cause, reason)
	case reason == selection.ByMask:
		c.head.SetText(fmt.Sprintf("out: the masks give it a weight of %.2f", d.MaskAt(a.X, a.Y)))
		c.change.SetText("Move the mask, or draw another that keeps it.")
	case reason == selection.ByFound:
		c.head.SetText("out: beyond the found edge")
		c.change.SetText("A keep dab for the masks brings it in.")
	default:
		why, _, _ := strings.Cut(pick.Explain(a.Value), "; ") // what would take it in is told below
		c.head.SetText(why)
		c.change.SetText(desk.ChangeLine(pick, a.Value, reason, d.Found.Dabs))
	}
	c.all.Refresh()
}

// showCause says what decides in place of the pick and the masks.
func (c *reasonCard) showCause(cause desk.Cause, reason selection.Reason) {
	switch {
	case cause != desk.Cause{}:
		c.head.SetText(cause.Text)
	case reason == selection.In:
		c.head.SetText("in: …")
	default:
		c.head.SetText("out: …")
	}
	c.change.SetText(cause.Advice)
}

// place puts the card beside a place on the frame, within it.
func (c *reasonCard) place(at fyne.Position, within fyne.Size) {
	size := fyne.NewSize(max(reasonCardWidth, c.all.MinSize().Width), c.all.MinSize().Height)
	x, y := at.X+14, at.Y-size.Height-14
	if x+size.Width > within.Width-8 {
		x = at.X - size.Width - 14
	}
	if y < 8 {
		y = at.Y + 14
	}
	c.all.Resize(size)
	c.all.Move(fyne.NewPos(max(8, x), max(8, min(y, within.Height-size.Height-8))))
	c.all.Show()
}
