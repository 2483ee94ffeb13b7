package status

import (
	"context"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/app/work"
	"halocline/colour"
	"halocline/mask"
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
		"full detail, not settled, 0 ms": {Factor: 1, Unsettled: true},
	} {
		r.ShowDetail(s)
		assert.Equal(t, want, r.detail.Text())
	}
}

// How far the work on a followed outline is stands in the row while it lasts.
func TestTheRowSaysHowFarFollowingIs(t *testing.T) {
	t.Setenv("HOME", t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	stage.NewApp(t)
	var r *Row
	var said []string
	d := desk.NewDesk(desk.Listener{
		Changed: func() {}, Did: func(string) {}, Sought: func() {}, Note: func(string) {}, Report: func(desk.Problem) {},
		Post: fyne.Do,
		Learned: func(n desk.News) {
			if n == desk.NewProgress {
				r.Display()
				said = append(said, r.Says())
				assert.Equal(t, strings.Contains(r.Says(), "following"), r.pause.Visible())
				assert.Equal(t, pauseLabel, r.pause.Label())
			}
		},
	})
	r = New(d)
	r.Follow(&page{"press"})
	wk, err := work.Open(context.Background(), stage.Discs(t, 5))
	require.NoError(t, err)
	fyne.DoAndWait(func() {
		m := stage.AddDisc(wk.Study)
		k := study.MaskKey{Frame: 1, Way: mask.Follow, Opacity: 1, Points: []mask.Point{{X: 160, Y: 60}, {X: 320, Y: 60}, {X: 320, Y: 210}}}
		wk.Study.AddMask(m, "disc", study.Keep, k).After = mask.Follows
		d.Begin(wk, study.NewSession(wk.Study, wk.Path))
		d.GoToFrame(4)
	})
	stage.Eventually(t, "the outline", func() bool { return d.CanTakeOutline() && d.FollowingWords() == "" })
	fyne.DoAndWait(func() {
		d.PauseFollowing(true)
		r.Display()
		assert.True(t, r.pause.Visible())
		assert.Equal(t, resumeLabel, r.pause.Label())
		assert.Equal(t, "Pick: press", r.Says(), "the button says it")
		r.pause.Tapped(nil)
		r.Display()
		assert.False(t, d.FollowingPaused())
		assert.False(t, r.pause.Visible(), "there is nothing to wait for")
	})
	fyne.DoAndWait(func() {
		d.Leave()
		d.Stop()
	})
	require.NotEmpty(t, said)
	assert.Contains(t, strings.Join(said, "\n"), "… following: frame ")
	assert.Contains(t, strings.Join(said, "\n"), " of 3")
	assert.Equal(t, "Pick: press", said[len(said)-1], "it is over")
}
