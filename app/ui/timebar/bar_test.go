package timebar

import (
	"context"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/app/ui/timeline"
	"halocline/app/work"
	"halocline/mask"
)

// around is what a bar works with in tests; it keeps what it is told.
type around struct {
	playing, reading string
	asked            []bool
	passed, relaid   int
}

func (a *around) Playing(how string)  { a.playing = how }
func (a *around) Reading(what string) { a.reading = what }
func (a *around) Hint(string)         {}
func (a *around) KeyOf(string) string { return "Space" }
func (a *around) Display()            {}

// newBar is a bar under discs, with a matte of them.
func newBar(t *testing.T, frames int) (*Bar, *around) {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	app := stage.NewApp(t)
	d := desk.NewDesk(desk.Listener{
		Changed: func() {}, Did: func(string) {}, Sought: func() {}, Learned: func(desk.News) {}, Note: func(string) {}, Post: fyne.Do,
		Report: func(p desk.Problem) { t.Errorf("%s: %v", p.What, p.Err) },
	})
	a := &around{}
	b := New(d, Parts{
		Canvas: app.Bare(t).Canvas(), Preview: &watch.Preview{}, Status: a, Menu: a,
		Ask: func(draft bool) { a.asked = append(a.asked, draft) }, Passed: func() { a.passed++ }, Relay: func() { a.relaid++ },
	})
	wk, err := work.Open(context.Background(), stage.Discs(t, frames))
	require.NoError(t, err)
	fyne.DoAndWait(func() {
		d.Begin(wk, study.NewSession(wk.Study, wk.Path))
		d.Edit("Matte", func(s *study.Study, _ *study.Matte) error {
			d.MatteID = stage.AddDisc(s).ID
			return nil
		})
		b.Display()
	})
	t.Cleanup(func() {
		d.Leave()
		d.Stop()
		assert.Empty(t, stage.AwaitNobody(app.Stage), "goroutines left behind")
	})
	return b, a
}

func TestABarStandsUnderAClip(t *testing.T) {
	b, a := newBar(t, 4)
	assert.True(t, b.Object().Visible())
	assert.Equal(t, 1, a.relaid, "it needs its height")
	fyne.DoAndWait(b.Display)
	assert.Equal(t, 1, a.relaid, "it has its height")
}

func TestTheRulerFollowsTheRate(t *testing.T) {
	b, _ := newBar(t, 4)
	b.desk.Edit("Frame rate", func(s *study.Study, _ *study.Matte) error {
		s.Clip.Rate = [2]int{30000, 1001}
		return nil
	})
	b.Display()
	assert.Equal(t, timeline.Rate{Num: 30000, Den: 1001}, b.area.Rate())
}

func TestNoBarStandsUnderAStill(t *testing.T) {
	b, a := newBar(t, 1)
	assert.False(t, b.Object().Visible())
	assert.Zero(t, a.relaid)
}

func TestLanesOfMasksAndValues(t *testing.T) {
	b, _ := newBar(t, 4)
	d := b.desk
	fyne.DoAndWait(func() {
		d.AddMask(study.Drop, []mask.Point{{X: 1, Y: 1}, {X: 30, Y: 1}, {X: 1, Y: 30}})
		assert.Equal(t, []timeline.Lane{{
			ID: d.MaskID, Name: d.Mask().Name, Kind: timeline.Drop, Chosen: true,
			Keys: []timeline.Key{{Frame: d.Frame, Way: timeline.Straight, Reached: d.Reaches(d.MaskID, d.Frame)}},
		}}, Lanes(d))
		d.Edit("Keys", func(s *study.Study, m *study.Matte) error {
			m.Edge.Soften.SetKey(3, 1, mask.Curved)
			m.Edge.Grow.SetKey(3, 1, mask.Step)
			s.Base.Exposure.SetKey(2, 0.5, mask.Step)
			return nil
		})
		lanes := Lanes(d)
		require.Len(t, lanes, 2)
		var frames []int
		for _, k := range lanes[1].Keys {
			frames = append(frames, k.Frame)
		}
		assert.Equal(t, desk.ValuesLane, lanes[1].ID)
		assert.Equal(t, []int{2, 3}, frames, "one key a frame, ascending")
	})
}

func TestPlayingAsksAndSaysSo(t *testing.T) {
	b, a := newBar(t, 4)
	fyne.DoAndWait(func() {
		b.Player.Turn(false)
		require.True(t, b.desk.Plays())
		assert.Equal(t, []bool{false}, a.asked)
		b.Player.Follow(&watch.Showing{Request: watch.Request{Frame: 3}})
		assert.NotEqual(t, 3, b.desk.Frame, "a picture of before")
		b.Player.Follow(&watch.Showing{Request: watch.Request{Frame: 3, Play: b.desk.Playing}})
		assert.Equal(t, 3, b.desk.Frame)
		assert.Equal(t, 1, a.passed)
		assert.Contains(t, a.playing, "playing, 1 pictures")
		b.Player.Turn(false)
		assert.False(t, b.desk.Plays())
		assert.Empty(t, a.playing)
		assert.False(t, b.Player.End(), "it plays no more")
	})
}

func TestKeysGoThroughTheFrames(t *testing.T) {
	b, _ := newBar(t, 14)
	first, last := b.desk.Frame, b.desk.Frames()[13]
	for _, tt := range []struct {
		name fyne.KeyName
		mods fyne.KeyModifier
		want int
	}{
		{fyne.KeyRight, 0, first + 1},
		{fyne.KeyRight, fyne.KeyModifierShift, first + 11},
		{fyne.KeyLeft, 0, first + 10},
		{fyne.KeyLeft, fyne.KeyModifierControl, first + 10},
		{fyne.KeyEnd, 0, last},
		{fyne.KeyUp, 0, last},
		{fyne.KeyHome, 0, first},
	} {
		fyne.DoAndWait(func() { b.Typed(tt.name, tt.mods) })
		assert.Equal(t, tt.want, b.desk.Frame, "%s %d", tt.name, tt.mods)
	}
}

// A mask's lane has where it follows the picture, and how sure its outline is where it was found.
func TestLanesOfAMaskThatFollows(t *testing.T) {
	b, _ := newBar(t, 4)
	d := b.desk
	fyne.DoAndWait(func() {
		d.AddMask(study.Keep, []mask.Point{{X: 160, Y: 60}, {X: 320, Y: 60}, {X: 320, Y: 210}, {X: 160, Y: 210}})
		d.SlideSearch(0, study.Done)
		d.SetWay(mask.Follow)
	})
	lane := Lanes(d)[0]
	assert.Equal(t, timeline.Follow, lane.Keys[0].Way)
	assert.False(t, lane.Before)
	assert.True(t, lane.After)
	assert.Empty(t, lane.Sure)
	fyne.DoAndWait(func() { d.GoToFrame(3) })
	stage.Eventually(t, "the followed outline", d.CanTakeOutline)
	fyne.DoAndWait(b.ShowSure)
	lane = Lanes(d)[0]
	require.Len(t, lane.Sure, 1)
	o, _ := d.OutlineOf(d.MaskID)
	assert.Equal(t, timeline.Sure{Frame: 3, Value: o.Confidence, Low: o.Confidence < desk.Sure}, lane.Sure[0])
}
