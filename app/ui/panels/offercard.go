package panels

import (
	"fmt"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// An offerCard says what a suggestion would change, before it is taken.
type offerCard struct {
	p     *pickPanel
	host  Host
	lines *fyne.Container
	all   *fyne.Container
	shown *desk.Suggestion
	take  *look.Button
}

func newOfferCard(p *pickPanel, host Host) *offerCard {
	c := &offerCard{p: p, host: host, lines: look.VBox(2)}
	c.take = look.NewButton("Take it", c.accept)
	c.take.Kind = look.Prominent
	back := look.NewButton("Back", c.drop)
	c.all = container.NewStack(look.Ground(look.Card, look.Pad(10, 8, 10, 8,
		container.NewBorder(nil, look.HBox(8, c.take, back), nil, nil, c.lines))))
	c.all.Hide()
	return c
}

func (c *offerCard) accept() {
	s := c.p.desk.Offer
	c.drop()
	if s == nil {
		return
	}
	c.p.desk.Take(s)
}

func (c *offerCard) drop() {
	c.p.desk.Offer = nil
	c.display()
}

func (c *offerCard) display() {
	s := c.p.desk.Offer
	if s == c.shown {
		return
	}
	c.shown = s
	if s == nil {
		c.p.preview(nil)
		c.all.Hide()
		c.p.controls.Show()
		return
	}
	c.p.preview(&s.Pick)
	c.lines.Objects = nil
	line := func(text string, st look.Style) { c.lines.Add(look.NewLabel(text, st)) }
	line("The dabs ask for", look.Style{Size: look.BodySize, Colour: look.Text, Bold: true})
	if len(s.Lines) == 0 {
		line("what is set already", look.Style{Size: look.SmallSize, Colour: look.Second})
	}
	for _, l := range s.Lines {
		line(l, look.Style{Size: look.SmallSize, Colour: look.Text})
	}
	c.take.Kind = look.Plain
	if s.Better() {
		c.take.Kind = look.Prominent
	}
	line(separationLine(s), look.Style{Size: look.SmallSize, Colour: look.AccentText})
	if len(s.Notes) > 0 {
		c.lines.Add(look.NewParagraph(2, strings.Join(s.Notes, "; ")+".", look.Style{Size: look.AxisSize, Colour: look.Second}))
	}
	c.lines.Refresh()
	c.p.controls.Hide()
	c.all.Show()
	c.take.Refresh()
	c.host.TellPlaces()
}

// separationLine says how well the dabs are told apart as it is, and would be: those that the
// ranges are fitted to, by which ranges compare.
func separationLine(s *desk.Suggestion) string {
	if s.Before == nil || s.After == nil {
		return "Separation needs a dab of each kind."
	}
	if !s.Better() && len(s.Lines) > 0 {
		return fmt.Sprintf("Not better on its dabs: tells %.0f of 100, would tell %.0f.", 100*s.Before.Pick.Set.Value, 100*s.After.Pick.Set.Value)
	}
	return fmt.Sprintf("On its dabs: tells %.0f of 100 apart, would tell %.0f.", 100*s.Before.Pick.Set.Value, 100*s.After.Pick.Set.Value)
}
