package status

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/ui/stage"
	"halocline/colour"
)

// A page is a frame whose weight is known nowhere.
type page struct{ help string }

func (p *page) PressHelp() string                 { return p.help }
func (p *page) WeightAt(int, int) (float64, bool) { return 0, false }

// HSL by hand; LCh of red: B. Lindbloom's calculator.
func TestReadout(t *testing.T) {
	assert.Equal(t, "R 1.00 G 0.00 B 0.00    HSL 0° 1.00 0.50    LCh 53 105 40°", readout(colour.RGB{R: 1}))
	assert.Equal(t, "R 0.50 G 0.50 B 0.50    HSL – 0.00 0.50    LCh 53 0 –", readout(colour.RGB{R: 0.5, G: 0.5, B: 0.5}))
}

// What is more urgent stands in place of the rest, which comes back after it.
func TestTheMostUrgentIsSaid(t *testing.T) {
	stage.NewApp(t)
	d := desk.NewDesk(desk.Listener{})
	defer d.Stop()
	r, p := New(d), &page{"press"}
	r.Follow(p)
	r.Display()
	assert.Equal(t, "Pick: press", r.Says())
	p.help = "press here"
	r.Display()
	assert.Equal(t, "Pick: press here", r.Says())
	calls := []struct {
		set  func(string)
		text string
		says string
	}{
		{r.Note, "a key", "a key"}, {r.Problem, "no number", "no number"}, {r.Hint, "drag", "drag"},
		{r.Playing, "playing", "playing"}, {r.Reading, "frame 3", "… reading frame 3"}, {r.Busy, "exporting", "… exporting"},
	}
	for _, c := range calls {
		c.set(c.text)
		assert.Equal(t, c.says, r.Says())
	}
	for i := len(calls) - 1; i > 0; i-- {
		calls[i].set("")
		assert.Equal(t, calls[i-1].says, r.Says())
	}
	d.Frame++
	r.Display()
	assert.Equal(t, "Pick: press here", r.Says(), "a note is of its frame")
	for _, on := range []func(){func() { d.Step = desk.StepMasks }, func() { d.MaskID++ }, func() { d.MatteID++ }} {
		r.Note("3 masks")
		assert.Equal(t, "3 masks", r.Says())
		on()
		r.Display()
		assert.Equal(t, d.Step.String()+": press here", r.Says(), "the user has gone on")
	}
}

func TestTheBarIsThereWhileSomethingIsRead(t *testing.T) {
	stage.NewApp(t)
	d := desk.NewDesk(desk.Listener{})
	defer d.Stop()
	r := New(d)
	r.Follow(&page{})
	assert.False(t, r.Bar().Visible())
	r.Reading("frame 3")
	assert.True(t, r.Bar().Visible())
	r.Reading("")
	assert.False(t, r.Bar().Visible())
}

func TestHowFineThePictureIs(t *testing.T) {
	stage.NewApp(t)
	d := desk.NewDesk(desk.Listener{})
	defer d.Stop()
	r := New(d)
	for want, s := range map[string]*watch.Showing{
		"full detail, 0 ms": {Factor: 1}, "1:2, exact, 0 ms": {Factor: 2}, "proxy 1:4, 0 ms": {Factor: 4, Draft: true},
	} {
		r.ShowDetail(s)
		assert.Equal(t, want, r.detail.Text())
	}
}
