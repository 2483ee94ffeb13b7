package judge

import (
	"fmt"

	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/proof"
	"halocline/app/ui/look"
)

// A lastProofCard is the card against the last proof.
type lastProofCard struct {
	desk  *desk.Desk
	title *look.Label
	lines [2]*look.Paragraph
	all   *fyne.Container
}

func newLastProofCard(d *desk.Desk) *lastProofCard {
	c := &lastProofCard{desk: d}
	c.title = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text, Bold: true})
	for i := range c.lines {
		c.lines[i] = look.NewParagraph(1, "", look.Style{Size: look.SmallSize, Colour: look.Second})
	}
	c.all = look.Ground(look.Card, look.Pad(10, 4, 10, 6, look.VBox(0, c.title, c.lines[0], c.lines[1])))
	c.all.Hide()
	return c
}

func (c *lastProofCard) display() {
	d := c.desk
	m := d.Matte()
	has := m != nil && len(m.Proofs) > 0
	look.Show(c.all, has)
	if !has {
		return
	}
	last := m.Proofs[len(m.Proofs)-1]
	c.title.SetText(fmt.Sprintf("Against ‘%s’, the last proof", last.Name))
	r := d.Reviewed
	if r.MatteID != m.ID || r.Proof == nil || r.Proof.ID != last.ID {
		c.say("…", "")
		return
	}
	if r.Same {
		c.say("Nothing has changed since it was kept.", "")
		return
	}
	change := proof.Compare(r.Last, r.Now)
	worse := change.WorseText()
	if n := d.EditsWithoutGain(); n >= desk.IdleEdits {
		c.title.SetText(fmt.Sprintf("%d changes gained nothing since ‘%s’", n, last.Name))
	}
	c.say(change.BetterText(), worse)
}

func (c *lastProofCard) say(better, worse string) {
	c.lines[0].SetText(better)
	c.lines[1].SetText(worse)
}
