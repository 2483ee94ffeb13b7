package field

import (
	"image"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// byLight is a pick by a plane along L*.
func byLight(level, drop, keep float64) selection.Pick {
	p := selection.Pick{Model: selection.PlaneModel, Normal: [3]float64{1, 0, 0}}
	p.Limits[selection.Hue].Off, p.Limits[selection.Sat].Off = true, true
	p.Limits[selection.Across].Range = selection.LevelRange(level, drop, keep)
	return p
}

// greys is a dab of greys of these L*.
func greys(keep bool, lights ...float64) selection.Dab {
	d := selection.Dab{Keep: keep}
	for _, l := range lights {
		d.Colours = append(d.Colours, colour.Lab{L: l}.RGB())
	}
	return d
}

func shownLine(t *testing.T, p selection.Pick, dabs ...selection.Dab) (l *PlaneLine, edits *[]edit) {
	t.Helper()
	test.NewTempApp(t)
	edits = new([]edit)
	l = NewPlaneLine(func(p selection.Pick, phase study.Phase) { *edits = append(*edits, edit{p, phase}) })
	w := test.NewTempWindow(t, l)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(narrow, lineHeight))
	l.Display(p, dabs)
	return l, edits
}

func (l *PlaneLine) pressAt(x, y float64) {
	l.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(float32(x), float32(y))}, Button: desktop.MouseButtonPrimary})
}

func (l *PlaneLine) dragTo(x float64) {
	l.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(float32(x), 20)}})
}

// pullBy drags a handle by so many Lab units.
func (l *PlaneLine) pullBy(what levelPart, units float64) {
	g := l.geometry()
	x, y := g.handle(l.pick, what)
	l.pressAt(x, y)
	l.dragTo(x + units/g.perPixel()/2)
	l.dragTo(x + units/g.perPixel())
	l.DragEnd()
}

// imageOf is what a line shows.
func imageOf(l *PlaneLine) *image.RGBA { return l.pic.Image.(*image.RGBA) }

// A level takes its fades along, the end of a fade moves by itself and stops at the level;
// each drag is one edit.
func TestLevelAndFadesAreDragged(t *testing.T) {
	dabs := []selection.Dab{greys(true, 60, 70), greys(false, 20, 30)}
	for _, c := range []struct {
		what  levelPart
		units float64
		want  selection.Pick
	}{
		{theLevel, 5, byLight(50, 4, 2)},
		{theLevel, -12.3, byLight(32.7, 4, 2)},
		{dropFade, -6, byLight(45, 10, 2)},
		{dropFade, 30, byLight(45, 0, 2)},
		{keepFade, 7, byLight(45, 4, 9)},
		{keepFade, -30, byLight(45, 4, 0)},
	} {
		l, edits := shownLine(t, byLight(45, 4, 2), dabs...)
		l.pullBy(c.what, c.units)
		require.Greater(t, len(*edits), 1, "%v", c)
		for i, e := range (*edits)[:len(*edits)-1] {
			assert.Equal(t, study.Moved, e.phase, i)
		}
		assert.Equal(t, edit{c.want, study.Done}, (*edits)[len(*edits)-1], "%v", c)
	}
}

// A fade of no width can be taken beside the level: its handle is below, the level's above.
func TestFadesOfNoWidthAreTaken(t *testing.T) {
	l, edits := shownLine(t, byLight(45, 0, 0), greys(true, 60), greys(false, 20))
	g := l.geometry()
	x, y := g.handle(l.pick, keepFade)
	assert.Equal(t, dropFade, g.hit(l.pick, x-3, y), "the side of the press tells")
	assert.Equal(t, keepFade, g.hit(l.pick, x+3, y))
	assert.Equal(t, theLevel, g.hit(l.pick, x+3, g.dp(levelTop)))
	assert.Equal(t, theLevel, g.hit(l.pick, x+3, g.dp(lineHeight/2)), "so does its line")
	assert.Equal(t, noLevelPart, g.hit(l.pick, x+30, y))
	l.pressAt(x+1, y)
	l.dragTo(x + 1 + 7/g.perPixel())
	l.DragEnd()
	require.NotEmpty(t, *edits)
	assert.Equal(t, edit{byLight(45, 0, 7), study.Done}, (*edits)[len(*edits)-1])
}

func TestALevelsDragIsGivenUp(t *testing.T) {
	p := byLight(45, 4, 2)
	l, edits := shownLine(t, p, greys(true, 60), greys(false, 20))
	x, y := l.geometry().handle(p, theLevel)
	l.pressAt(x, y)
	l.dragTo(x + 30)
	l.Display(byLight(99, 0, 0), nil) // come back late: does not disturb the hand
	l.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	l.DragEnd()
	require.Len(t, *edits, 2)
	assert.Equal(t, edit{p, study.Cancelled}, (*edits)[1])

	l.pressAt(x, y)
	l.DragEnd()
	assert.Len(t, *edits, 2, "a press alone is no edit")
	p.Limits[selection.Across].Off = true
	l.Display(p, nil)
	l.pressAt(x, y)
	assert.Nil(t, l.pull, "a plane that is off cannot be dragged")
}

func TestArrowsMoveTheLevel(t *testing.T) {
	l, edits := shownLine(t, byLight(45, 4, 2))
	l.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	l.TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyLeft, Modifier: fyne.KeyModifierControl})
	l.TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyUp, Modifier: fyne.KeyModifierShift})
	require.Len(t, *edits, 3)
	assert.Equal(t, byLight(46, 4, 2), (*edits)[0].pick)
	assert.Equal(t, byLight(45.9, 4, 2), (*edits)[1].pick)
	assert.Equal(t, edit{byLight(55.9, 4, 2), study.Done}, (*edits)[2])
	l.TypedKey(&fyne.KeyEvent{Name: fyne.KeyHome})
	assert.Len(t, *edits, 3)
}

// Each dab counts the same, however many pixels it has, and a kind sums to 1.
func TestWhereDabsLie(t *testing.T) {
	l := lyingAcross(byLight(0, 0, 0), []selection.Dab{greys(true, 60), greys(true, 70, 70, 70, 80), greys(false, 20)})
	assert.InDelta(t, 0.5, l.keep[slotOf(60)]+l.keep[slotOf(60)-1], 1e-12)
	assert.InDelta(t, 0.375, l.keep[slotOf(70)]+l.keep[slotOf(70)-1], 1e-12)
	sum := 0.0
	for _, v := range l.drop {
		sum += v
	}
	assert.InDelta(t, 1, sum, 1e-12)
	assert.InDelta(t, 20, l.low, 1e-6)
	assert.InDelta(t, 80, l.high, 1e-6)
	r := reachOf(byLight(90, 0, 5), &l)
	assert.InDelta(t, 20-0.06*75, r.low, 1e-6)
	assert.InDelta(t, 95+0.06*75, r.high, 1e-6, "the level's fade is in view")
	none := lyingAcross(byLight(0, 0, 0), nil)
	r = reachOf(byLight(12, 0, 0), &none)
	assert.InDelta(t, 12, (r.low+r.high)/2, 1e-9)
	assert.InDelta(t, leastReach*1.12, r.high-r.low, 1e-9)
}

// What is drawn: keep dabs above the middle, drop dabs below, what is left out under a hatch.
func TestLineIsDrawn(t *testing.T) {
	dabs := []selection.Dab{greys(true, 60, 61, 62), greys(false, 20, 21, 22)}
	l, _ := shownLine(t, byLight(45, 4, 2), dabs...)
	shown := imageOf(l)
	g := l.geometry()
	ground := lineScene{lineGeometry: g}.ground()
	above, below := int(ground.y0+ground.h()/4), int(ground.y1-ground.h()/4)
	bright := func(v float64, y int) bool { return shown.RGBAAt(int(g.pixel(v)), y).R > 0x50 }
	assert.True(t, bright(61, above))
	assert.False(t, bright(61, below))
	assert.False(t, bright(30, above))
	var drops int
	for v := 19.0; v < 23; v += 0.1 {
		if bright(v, below) {
			drops++
		}
	}
	assert.Positive(t, drops)

	before := append([]uint8{}, shown.Pix...)
	would := byLight(35, 1, 1)
	l.SetPreview(&would)
	assert.NotEqual(t, before, imageOf(l).Pix, "the pick as it would become")
	l.SetPreview(nil)
	assert.Equal(t, before, imageOf(l).Pix)
	empty, _ := shownLine(t, byLight(45, 4, 2))
	assert.NotNil(t, imageOf(empty))
	assert.False(t, math.IsNaN(empty.reach.low))
}

// Of a pick by plane the field has colours and no lines.
func TestFieldOfAPlaneHasNoLines(t *testing.T) {
	f, edits := shownField(t, byLight(45, 4, 2))
	assert.Empty(t, lines(f.pick))
	assert.Equal(t, selection.LCh, f.pick.Model)
	f.pressAt(40, 100)
	assert.Nil(t, f.pull)
	would := byLight(20, 0, 0)
	f.SetPreview(&would)
	assert.Nil(t, f.preview)
	assert.Empty(t, *edits)
	f.SetPick(skin(selection.HSL))
	assert.NotEmpty(t, lines(f.pick))
}
