package timeline

import (
	"fmt"
	"image/color"
	"image/png"
	"math"
	"os"
	"slices"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/ink"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// newArea is an area of 72 frames with four lanes in a window, and what it tells.
func newArea(t testing.TB) (*Area, *[]string) {
	t.Helper()
	test.NewTempApp(t)
	a := New()
	win := test.NewTempWindow(t, a)
	win.SetPadded(false)
	win.Resize(fyne.NewSize(952, 120))
	var told []string
	say := func(format string, args ...any) { told = append(told, fmt.Sprintf(format, args...)) }
	phases := map[study.Phase]string{study.Moved: "moved", study.Done: "done", study.Cancelled: "cancelled"}
	a.OnSeek = func(n int, p study.Phase) { say("seek %d %s", n, phases[p]) }
	a.OnPlay = func() { say("play") }
	a.OnKeyMove = func(l, from, to int, c bool, p study.Phase) { say("key %d %d-%d %v %s", l, from, to, c, phases[p]) }
	a.OnKeyAdd = func(l, n int) { say("add %d %d", l, n) }
	a.OnKeyDelete = func(l, n int) { say("delete %d %d", l, n) }
	a.OnChoose = func(l int) { say("choose %d", l) }
	a.OnInOut = func(in, out int, p study.Phase) { say("ends %d-%d %s", in, out, phases[p]) }
	a.SetClip(Clip{Frames: upTo(72), Rate: Rate{Num: 25, Den: 1}})
	a.SetLanes(sampleLanes())
	return a, &told
}

func upTo(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

func sampleLanes() []Lane {
	return []Lane{
		{ID: 7, Name: "arms", Chosen: true, Keys: []Key{{0, Curved, true}, {18, Curved, true}, {37, Straight, true}, {54, Step, true}, {71, Straight, true}}},
		{ID: 8, Name: "legs of the diver behind", Keys: []Key{{Frame: 0, Way: Straight}, {Frame: 24, Way: Straight}, {Frame: 48, Way: Straight}}},
		{ID: 9, Name: "face", Off: true, Keys: []Key{{Frame: 0, Way: Straight}}},
		{ID: 10, Name: "reel", Kind: Drop, In: Bound{true, 12}, Out: Bound{true, 60}, Keys: []Key{{Frame: 30, Way: Step}, {Frame: 58, Way: Step}}},
	}
}

func at(a *Area, frame float64, y float32) fyne.Position {
	p := a.plan()
	return fyne.NewPos(float32(p.span.x(frame)/p.scale), y)
}

func press(a *Area, at fyne.Position) {
	a.MouseDown(&desktop.MouseEvent{Button: desktop.MouseButtonPrimary, PointEvent: fyne.PointEvent{Position: at}})
}

func pullTo(a *Area, at fyne.Position) {
	a.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: at}})
}

func key(a *Area, k fyne.KeyName) { a.TypedKey(&fyne.KeyEvent{Name: k}) }

// Heights inside of the rows.
const (
	onRuler = 4
	onLane  = rulerHigh + 4
	onLane2 = onLane + laneHigh
	onStrip = 120 - 10
)

func TestScrubbingTellsEachFrameOnceAndEnds(t *testing.T) {
	a, told := newArea(t)
	press(a, at(a, 40, onRuler))
	pullTo(a, at(a, 40.3, onRuler))
	pullTo(a, at(a, 43, onRuler))
	a.SetFrame(2)
	assert.Equal(t, 43, a.frame, "the ruler is under the hand")
	pullTo(a, at(a, 400, onRuler))
	a.DragEnd()
	assert.Equal(t, []string{"seek 40 moved", "seek 43 moved", "seek 71 moved", "seek 71 done"}, *told)

	*told = nil
	press(a, at(a, 10, onStrip))
	key(a, fyne.KeyEscape)
	a.DragEnd()
	assert.Equal(t, []string{"seek 10 moved", "seek 71 cancelled"}, *told)
	assert.Equal(t, 71, a.frame)
}

func TestNotchesAreMovedAndCopied(t *testing.T) {
	a, told := newArea(t)
	press(a, at(a, 18, onLane))
	pullTo(a, at(a, 18.1, onLane))
	pullTo(a, at(a, 25, onLane))
	pullTo(a, at(a, 30, onLane))
	a.DragEnd()
	assert.Equal(t, []string{"key 7 18-25 false moved", "key 7 18-30 false moved", "key 7 18-30 false done"}, *told)

	*told = nil
	press(a, at(a, 37, onLane))
	a.MouseUp(nil)
	assert.Equal(t, []string{"seek 37 done"}, *told, "a press goes there")
	key(a, fyne.KeyDelete)
	assert.Equal(t, "delete 7 37", (*told)[1])

	*told = nil
	press(a, at(a, 24, onLane2))
	pullTo(a, at(a, 33, onLane2))
	pullTo(a, at(a, 24, onLane2))
	a.DragEnd()
	assert.Equal(t, []string{"choose 8", "key 8 24-33 false moved", "key 8 24-24 false moved", "key 8 24-24 false cancelled"}, *told)
}

func TestDoubleClickMakesAKey(t *testing.T) {
	a, told := newArea(t)
	a.DoubleTapped(&fyne.PointEvent{Position: at(a, 10, onLane)})
	a.DoubleTapped(&fyne.PointEvent{Position: at(a, 18, onLane)}) // there is one
	assert.Equal(t, []string{"add 7 10"}, *told)
}

// The playhead lies over the first bracket where a clip is opened: it is what a first drag moves.
func TestThePlayheadIsTakenBeforeABracket(t *testing.T) {
	a, told := newArea(t)
	press(a, at(a, 0, 20))
	pullTo(a, at(a, 20, 20))
	a.DragEnd()
	press(a, at(a, 0, 20))
	pullTo(a, at(a, 9, 20))
	a.DragEnd()
	assert.Equal(t, []string{"seek 20 moved", "seek 20 done", "ends 9-71 moved", "ends 9-71 done"}, *told)
}

func TestEndsAreDraggedAndNeverCross(t *testing.T) {
	a, told := newArea(t)
	a.SetFrame(60)
	press(a, at(a, 71, 20))
	pullTo(a, at(a, 30, 20))
	a.DragEnd()
	press(a, at(a, 0, 20))
	pullTo(a, at(a, 50, 20))
	a.DragEnd()
	assert.Equal(t, []string{"ends 0-30 moved", "ends 0-30 done", "ends 30-30 moved", "ends 30-30 done"}, *told)
	p := a.plan()
	assert.Equal(t, inEnd, a.hit(&p, p.span.x(30)-2, 20).kind, "they can be drawn apart again")
	assert.Equal(t, outEnd, a.hit(&p, p.span.x(30)+2, 20).kind)
	assert.Equal(t, theRuler, a.hit(&p, p.span.x(30), 2).kind, "and the playhead can be put there")
}

func TestKeyboardReachesEverything(t *testing.T) {
	a, told := newArea(t)
	for _, k := range []fyne.KeyName{fyne.KeyRight, fyne.KeyRight, fyne.KeyLeft, fyne.KeyPageDown, fyne.KeyPageDown, fyne.KeyPageUp, fyne.KeyEnd, fyne.KeyHome, fyne.KeyDown, fyne.KeyReturn, fyne.KeyInsert} {
		key(a, k)
	}
	assert.Equal(t, []string{"seek 1 done", "seek 2 done", "seek 1 done", "seek 18 done", "seek 37 done", "seek 18 done", "seek 71 done", "seek 0 done", "choose 8", "play", "add 7 0"}, *told)
	*told = nil
	key(a, fyne.KeyPageDown)
	a.TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyRight, Modifier: fyne.KeyModifierControl})
	assert.Equal(t, []string{"seek 18 done", "key 7 18-19 false done", "seek 19 done"}, *told)
}

func TestKeysOfOthersGoOn(t *testing.T) {
	a, _ := newArea(t)
	c := fyne.CurrentApp().Driver().CanvasForObject(a)
	var got []fyne.KeyName
	c.SetOnTypedKey(func(e *fyne.KeyEvent) { got = append(got, e.Name) })
	key(a, fyne.KeySpace)
	key(a, fyne.KeyEscape)
	assert.Equal(t, []fyne.KeyName{fyne.KeySpace, fyne.KeyEscape}, got)
}

func TestGutter(t *testing.T) {
	a, told := newArea(t)
	press(a, fyne.NewPos(10, 10))
	press(a, fyne.NewPos(60, onLane2))
	assert.Equal(t, []string{"play", "choose 8"}, *told)
	press(a, fyne.NewPos(60, 10))
	assert.Equal(t, NonDrop, a.Units())
	press(a, fyne.NewPos(60, 10))
	assert.Equal(t, Frames, a.Units())
	a.SetClip(Clip{Frames: upTo(9), Rate: ntsc30})
	for _, want := range []Units{DropFrame, NonDrop, Frames} {
		press(a, fyne.NewPos(60, 10))
		assert.Equal(t, want, a.Units())
	}
	a.SetClip(Clip{Frames: upTo(9)})
	press(a, fyne.NewPos(60, 10))
	assert.Equal(t, Frames, a.Units(), "no rate, no timecode")
}

func TestLanesScrollAndTimeZooms(t *testing.T) {
	a, told := newArea(t)
	assert.Equal(t, float32(24+2*24+48), a.MinSize().Height)
	over := func(y, dx, dy float32) {
		a.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.NewDelta(dx, dy), PointEvent: fyne.PointEvent{Position: at(a, 36, y)}})
	}
	over(onLane, 0, -notch)
	press(a, fyne.NewPos(60, onLane))
	assert.Equal(t, []string{"choose 8"}, *told, "one lane farther down")
	before := a.hi - a.lo
	over(onRuler, 0, notch)
	assert.InDelta(t, before/zoomPerNotch, a.hi-a.lo, 1e-9)
	lo := a.lo
	over(onRuler, -notch, 0)
	assert.Greater(t, a.lo, lo)
	a.SetFrame(71)
	assert.InDelta(t, 71, a.hi, 1e-9, "the playhead stays in view")
	a.DoubleTapped(&fyne.PointEvent{Position: at(a, 60, onRuler)})
	assert.Equal(t, []float64{0, 71}, []float64{a.lo, a.hi}, "all of it again")
}

func TestWordsSayTheNumbers(t *testing.T) {
	a, _ := newArea(t)
	a.SetNotes(sampleNotes())
	assert.Equal(t, "41: area 2.4 %, flicker 6.0 %, leak 4.0 %, the matte vanishes", a.words(part{kind: theStrip}, 41))
	n := sampleNotes()
	for i := range n.Notes {
		n.Notes[i].Words = "the outline cuts"
	}
	a.SetNotes(n)
	assert.Equal(t, "0: area 1.5 %, leak 0.5 %, the outline cuts", a.words(part{kind: theStrip}, 0))
	assert.Equal(t, "41: area 2.4 %, flicker 6.0 %, leak 4.0 %, the matte vanishes", a.words(part{kind: theStrip}, 41), "a flag says it")
	a.SetNotes(sampleNotes())
	assert.Equal(t, "60: not looked at yet", a.words(part{kind: theStrip}, 60))
	assert.Equal(t, "0: area 1.5 %, leak 0.5 %", a.words(part{kind: theStrip}, 0))
	assert.Contains(t, a.words(part{kind: theStrip}, 50), "before the last edit")
}

// sampleNotes are of frames 0 to 59 without 30 to 34, those from 48 on stale.
func sampleNotes() Notes {
	n := Notes{Flags: []Flag{{41, 1, "the matte vanishes"}, {12, 2, "flicker"}, {55, 3, "leak"}}}
	for f := range 60 {
		if f >= 30 && f < 35 {
			continue
		}
		o := Note{Frame: f, Area: 0.02 + 0.005*math.Sin(float64(f)/6), Flicker: new(0.002), Leak: new(0.005), Stale: f >= 48}
		switch f {
		case 0:
			o.Area, o.Flicker = 0.015, nil
		case 12, 41:
			o.Area, o.Flicker, o.Leak = 0.024, new(0.06), new(0.04)
		}
		n.Notes = append(n.Notes, o)
	}
	return n
}

// What is drawn: notches where keys are, the line low and high by turns, bars and
// empty ground in the strip.
func TestWhatIsDrawn(t *testing.T) {
	a, _ := newArea(t)
	a.SetNotes(sampleNotes())
	a.SetFrame(37)
	p := a.plan()
	a.compose(&p)
	pixel := func(frame, y float64) color.RGBA { return a.spare.RGBAAt(int(p.span.x(frame)), int(y)) }
	rgba := func(c color.NRGBA) color.RGBA { return color.RGBA(c) }
	lane := p.lane(0)
	assert.Equal(t, rgba(look.Accent), pixel(18, lane.y0+2), "a notch of what changes in every key")
	assert.Equal(t, rgba(look.Text), pixel(24, p.lane(1).y0+2))
	assert.Equal(t, rgba(laneWorks), pixel(30, lane.y0+18))
	assert.Equal(t, rgba(look.Bone), a.spare.RGBAAt(int(math.Round(p.span.x(37))), int(lane.y0+14)), "the playhead")
	assert.Equal(t, rgba(look.Plot), pixel(32, p.strip.y1-4), "not looked at")
	assert.Equal(t, rgba(areaGrey), pixel(20.5, p.strip.y1-14), "area")
	assert.Equal(t, rgba(staleGrey), pixel(50.5, p.strip.y1-14), "area before an edit")
	assert.Equal(t, rgba(look.Warn), a.spare.RGBAAt(int(math.Round(p.span.x(41))), int(p.strip.y0+15)), "the pole of a flag")
	path := lanePaths(&a.lanes[0], p.span, lane, 1)[0]
	low, high := path[0].Y, lane.y0+9
	assert.InDelta(t, high, path[indexAt(path, p.span.x(18))].Y, 1e-9)
	assert.InDelta(t, low, path[indexAt(path, p.span.x(37))].Y, 1e-9)
}

// How far the work on the strip is stands apart from the word "area", which a
// share beside it would be taken for.
func TestProgressIsNotTakenForAFigure(t *testing.T) {
	a, _ := newArea(t)
	lit := func() (rows []int) {
		p := a.plan()
		a.compose(&p)
		for i := range 3 {
			y := int(p.strip.y0) + 9 + 15*i
			for x := int(p.strip.x0) - 40; x < int(p.strip.x0)-4; x++ {
				if c := a.spare.RGBAAt(x, y); c.R > 0x70 {
					rows = append(rows, i)
					break
				}
			}
		}
		return rows
	}
	assert.Empty(t, lit())
	a.SetChecking("66 %")
	assert.Equal(t, []int{0, 1}, lit(), "a word, and below it how far")
}

func indexAt(path []ink.Pt, x float64) int {
	for i := range path {
		if math.Abs(path[i].X-x) < 1e-6 {
			return i
		}
	}
	return -1
}

// No place and no size makes it fail.
func TestOddSizesAndClips(t *testing.T) {
	a, _ := newArea(t)
	for _, frames := range [][]int{nil, {5}, {1, 1000000}, {-3, -2, 9}} {
		a.SetClip(Clip{Frames: frames, Rate: ntsc30, Unread: map[int]bool{9: true}})
		a.SetLanes(sampleLanes())
		a.SetNotes(sampleNotes())
		for _, u := range []Units{Frames, NonDrop, DropFrame} {
			a.SetUnits(u)
			for _, size := range []fyne.Size{{Width: 0, Height: 0}, {Width: 50, Height: 10}, {Width: 130, Height: 40}, {Width: 2000, Height: 60}} {
				a.Resize(size)
				a.draw()
				p := a.plan()
				for x := -5.0; x < float64(size.Width)+5; x += 13 {
					for y := -5.0; y < float64(size.Height)+5; y += 7 {
						a.hit(&p, x, y)
					}
				}
			}
		}
	}
}

// bigArea is ten thousand frames, all looked at, and eight lanes of 150 keys.
func bigArea(t testing.TB) *Area {
	a, _ := newArea(t)
	a.SetClip(Clip{Frames: upTo(10_000), Rate: Rate{Num: 25, Den: 1}})
	var lanes []Lane
	for l := range 8 {
		lane := Lane{ID: l, Name: fmt.Sprint("mask ", l)}
		for k := range 150 {
			lane.Keys = append(lane.Keys, Key{Frame: k*66 + l, Way: Way(k % 3)})
		}
		lanes = append(lanes, lane)
	}
	a.SetRows(4)
	a.SetLanes(lanes)
	n := Notes{Flags: sampleNotes().Flags}
	for f := range 10_000 {
		n.Notes = append(n.Notes, Note{Frame: f, Area: 0.5 + 0.3*math.Sin(float64(f)/300), Flicker: new(float64(f%7) / 100), Leak: new(0.02 + 0.02*math.Sin(float64(f)/90))})
	}
	a.SetNotes(n)
	a.Resize(fyne.NewSize(1480, 168))
	return a
}

// All of it, as an edit asks for.
func BenchmarkDrawAll(b *testing.B) {
	a := bigArea(b)
	p := a.plan()
	for b.Loop() {
		a.stale = true
		a.compose(&p)
	}
}

// What moves alone, as scrubbing and playing ask for.
func BenchmarkDrawPlayhead(b *testing.B) {
	a := bigArea(b)
	p := a.plan()
	for b.Loop() {
		a.compose(&p)
	}
}

// TestPicture writes what the area looks like to the file that HALOCLINE_PICTURE
// names, to be looked at.
func TestPicture(t *testing.T) {
	path := os.Getenv("HALOCLINE_PICTURE")
	if path == "" {
		t.Skip("HALOCLINE_PICTURE not set")
	}
	a, _ := newArea(t)
	a.SetRows(4)
	a.SetNotes(sampleNotes())
	a.SetFrame(37)
	a.SetInOut(5, 65)
	a.Resize(fyne.NewSize(1480, 168))
	p := a.plan()
	a.compose(&p)
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, a.spare))
	require.NoError(t, f.Close())
}

// A trial's misfit is a fourth line, which is there while something is graded.
func TestMisfitsAreDrawn(t *testing.T) {
	n := Notes{Notes: []Note{{Frame: 0, Area: 0.1, Misfit: new(3.0)}, {Frame: 1, Area: 0.1}}}
	assert.True(t, n.misfits())
	c := columnsOf(&n, span{lo: -0.5, hi: 9.5, x0: 0, x1: 100}, 0, 100)
	assert.Equal(t, 3.0, c.tops[3])
	assert.Equal(t, 3.0, slices.Max(c.misfit))
	n.Notes[0].Misfit = nil
	assert.False(t, n.misfits())
	assert.Equal(t, -1.0, slices.Max(columnsOf(&n, span{lo: -0.5, hi: 9.5, x0: 0, x1: 100}, 0, 100).misfit))
}

// The column of names follows the longest, so that the sample's are whole, up to a limit;
// what is cut is told whole where the pointer rests on it.
func TestTheColumnOfNamesFollowsThem(t *testing.T) {
	a, _ := newArea(t)
	hint := ""
	a.OnHint = func(words string) { hint = words }
	left := func(names ...string) float64 {
		var lanes []Lane
		for i, n := range names {
			lanes = append(lanes, Lane{ID: i + 1, Name: n})
		}
		a.SetLanes(lanes)
		return a.plan().ruler.x0
	}
	assert.Equal(t, float64(gutterWide), left("arms", "legs"))
	x := left("arms", "head and arms")
	assert.Greater(t, x, float64(gutterWide))
	assert.Equal(t, "head and arms", look.Type.Cut("head and arms", look.SmallSize, x-nameLeft-nameRight), "it is whole")
	long := "legs of the diver behind the reel, upper half"
	x = left("arms", long)
	assert.Equal(t, float64(gutterMost), x)
	require.NotEqual(t, long, look.Type.Cut(long, look.SmallSize, x-nameLeft-nameRight))
	a.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(40, rulerHigh+laneHigh+8)}})
	assert.Equal(t, "press: choose ‘"+long+"’", hint)
	a.SetClip(Clip{Frames: upTo(3)})
	assert.Equal(t, float64(gutterWide), a.plan().ruler.x0, "other footage begins anew")
}

// What is stale is grey, and no line joins it to what is fresh; a pixel that has both shows what
// is fresh.
func TestStaleFiguresStandApart(t *testing.T) {
	notes := Notes{}
	for f := range 10 {
		notes.Notes = append(notes.Notes, Note{Frame: f, Area: 0.2, Leak: new(0.1), Stale: f >= 5})
		if f >= 5 {
			notes.Notes[f].Area = 1
		}
	}
	wide := columnsOf(&notes, span{lo: -0.5, hi: 9.5, x0: 0, x1: 100}, 0, 100)
	for x, v := range wide.area {
		assert.Contains(t, []float64{0.2, 1, -1}, v, "nothing lies between fresh and stale")
		assert.Equal(t, x >= 50, wide.stale[x] && v == 1, "x %d", x)
	}
	narrow := columnsOf(&notes, span{lo: -0.5, hi: 9.5, x0: 0, x1: 2}, 0, 2)
	assert.Equal(t, []bool{false, true}, narrow.stale)
	notes.Notes[9].Stale, notes.Notes[9].Leak = false, new(0.01)
	narrow = columnsOf(&notes, span{lo: -0.5, hi: 9.5, x0: 0, x1: 2}, 0, 2)
	assert.Equal(t, []bool{false, false}, narrow.stale)
	assert.Equal(t, []float64{0.1, 0.01}, narrow.leak, "of the fresh frame alone")
}
