package proofs

import (
	"encoding/csv"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/proof"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/app/view"
	"halocline/colour"
)

// workedOut waits for all that a sheet asks for.
func (p *Sheet) workedOut(t testing.TB) {
	t.Helper()
	stage.Eventually(t, "the proofs", func() bool { return p.done })
}

func TestTheSheetSweepsAndOneIsUsed(t *testing.T) {
	w, h, p := newProofed(t, 1)
	p.workedOut(t)
	require.Len(t, p.items, 6)
	assert.Equal(t, "soften", p.sweep.Of.Name)
	before := w.desk.Study()
	for i, c := range p.cells {
		size := c.picture.Image.Bounds().Size()
		assert.Equal(t, p.vp.VW, size.X)
		assert.Equal(t, p.vp.VH, size.Y)
		assert.Equal(t, p.items[i].Name, c.name.Text())
		assert.Contains(t, c.values[0].Text(), "ΔE")
	}
	assert.True(t, p.items[p.chosen].Now)
	assert.True(t, p.side.use.Disabled(), "it is used already")
	least, ok := proof.LeastMisfit(p.items, p.figures)
	require.True(t, ok)
	assert.Equal(t, "least misfit", p.cells[least.Item].tag.Text())

	// The arrows choose, a press chooses, and nothing changes.
	h.Key(fyne.KeyRight, 0)
	assert.Equal(t, p.order[1], p.chosen)
	h.Key(fyne.KeyDown, 0)
	assert.Equal(t, p.order[1+p.grid.plan.across], p.chosen)
	h.Key(fyne.KeyDown, 0)
	assert.Equal(t, p.order[1+p.grid.plan.across], p.chosen, "nothing stands below")
	h.PressOn(t, p.cells[3].name)
	assert.Equal(t, 3, p.chosen)
	assert.Contains(t, p.side.lines[0].Text(), "Better: ")
	assert.Same(t, before, w.desk.Study())

	// The arrows do so too after a press elsewhere.
	fyne.DoAndWait(w.win.Canvas().Unfocus)
	h.Key(fyne.KeyLeft, 0)
	assert.Equal(t, 2, p.chosen)

	// Sorted, the best stands first.
	fyne.DoAndWait(func() { p.setSort(9) })
	assert.Equal(t, "misfit", proof.Columns()[8].Name)
	assert.Equal(t, least.Item, p.order[0])
	assert.Equal(t, p.cells[least.Item], p.grid.cells[0])

	// Enter uses it: one edit, which can be undone.
	h.PressOn(t, p.cells[least.Item].name)
	edits := len(w.labels())
	h.Key(fyne.KeyReturn, 0)
	require.False(t, w.sheets.IsOpen())
	require.Len(t, w.labels(), edits+1)
	assert.Equal(t, "Use "+p.items[least.Item].Name, w.labels()[0])
	assert.Equal(t, p.items[least.Item].Value, w.desk.Matte().Edge.Soften.At(w.desk.Frame))
	fyne.DoAndWait(w.desk.Undo)
	assert.Equal(t, before.Matte(w.desk.MatteID).Settings, w.desk.Matte().Settings)
}

func TestAProofIsKeptAndTakenBack(t *testing.T) {
	w, h := newWindow(t, 1)
	fyne.DoAndWait(w.desk.KeepProof)
	assert.Equal(t, "Keep as proof", w.labels()[0])
	was := w.desk.Matte().Settings.Clone()
	w.edit(func(m *study.Matte) error {
		m.Edge.Soften = study.Constant(9)
		return nil
	})
	p := w.open(t)
	assert.Nil(t, p.sweep, "there is something to be seen without one")
	require.Len(t, p.items, 2)
	p.workedOut(t)
	assert.Equal(t, proof.AsItIs, p.items[0].Name)
	h.PressOn(t, p.cells[1].name)

	// Its note is the study's at once, and undone like anything else.
	h.PressOn(t, p.side.note)
	h.Write("before softening")
	h.Key(fyne.KeyReturn, 0)
	assert.Equal(t, "before softening", w.desk.Matte().Proofs[0].Note)
	h.PressOn(t, p.side.use)
	require.False(t, w.sheets.IsOpen())
	assert.Equal(t, "Use proof 1", w.labels()[0])
	assert.Equal(t, was, w.desk.Matte().Settings)
	assert.Len(t, w.desk.Matte().Proofs, 1, "the proof stays")
}

func TestTheSweptAreKeptWithTheirNotes(t *testing.T) {
	w, h, p := newProofed(t, 1)
	p.workedOut(t)
	h.PressOn(t, p.cells[2].name)
	h.PressOn(t, p.side.note)
	h.Write("soft enough")
	h.Key(fyne.KeyReturn, 0)
	require.Empty(t, w.desk.Matte().Proofs)
	edits := len(w.labels())
	h.PressOn(t, h.Button(t, "Keep all 6"))
	require.Len(t, w.labels(), edits+1)
	require.Len(t, w.desk.Matte().Proofs, 6)
	assert.Equal(t, "soft enough", w.desk.Matte().Proofs[2].Note)
	require.Len(t, p.items, 6, "each stands once")
	assert.False(t, p.side.keep.Visible(), "all are kept")
	p.workedOut(t)

	h.PressOn(t, p.cells[2].name)
	assert.Equal(t, "soft enough", p.side.note.Text())
	h.PressOn(t, h.Button(t, "Forget"))
	require.Len(t, w.desk.Matte().Proofs, 5)
	assert.True(t, p.side.keep.Visible())
	h.Key(fyne.KeyEscape, 0)
	require.False(t, w.sheets.IsOpen())
}

// A drag moves all pictures, the wheel zooms all of them; below the pictures it does not.
func TestAllPicturesMoveTogether(t *testing.T) {
	_, h, p := newProofed(t, 1)
	p.workedOut(t)
	at := h.Middle(t, p.cells[1].picture)
	before := p.vp
	h.Move(at)
	h.Wheel(2)
	assert.Greater(t, p.vp.Zoom, before.Zoom*1.2)
	zoomed := p.vp
	h.Drag(desktop.MouseButtonPrimary, at, at.AddXY(-10, -4), at.AddXY(-30, -12))
	assert.Equal(t, zoomed.Zoom, p.vp.Zoom)
	assert.InDelta(t, zoomed.X+30/zoomed.Zoom, p.vp.X, 1/zoomed.Zoom+1e-6)
	assert.Equal(t, 1, p.chosen, "the press chose it")
	h.Move(h.Middle(t, p.cells[1].name))
	h.Wheel(2)
	assert.Equal(t, zoomed.Zoom, p.vp.Zoom)
	p.workedOut(t)
	assert.Contains(t, p.foot.hint.Text(), p.percentText())
}

func TestSheetAndFiguresAreWritten(t *testing.T) {
	_, h, p := newProofed(t, 1)
	p.workedOut(t)
	dir := t.TempDir()
	write := func(button, name string) string {
		path := filepath.Join(dir, name)
		h.PressOn(t, h.Button(t, button))
		fyne.DoAndWait(func() { p.foot.path.Set(path) })
		h.PressOn(t, p.foot.write)
		return path
	}
	sheet, table := write("Sheet as PNG", "s.png"), ""
	stage.Eventually(t, "the sheet", func() bool { return p.foot.said == "Written: "+sheet })
	table = write("Figures as CSV", "f.csv")
	require.Equal(t, "Written: "+table, p.foot.said)
	f, err := os.Open(table)
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 7)
	m, err := os.Open(sheet)
	require.NoError(t, err)
	defer m.Close()
	picture, err := png.Decode(m)
	require.NoError(t, err)
	assert.Greater(t, picture.Bounds().Dx(), 1400)

	// A stranger's file is asked about.
	mine := filepath.Join(dir, "mine.csv")
	require.NoError(t, os.WriteFile(mine, []byte("mine"), 0o666))
	write("Figures as CSV", "mine.csv")
	text, err := os.ReadFile(mine)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(text))
	assert.Equal(t, "Replace", p.foot.write.Label())
	h.PressOn(t, p.foot.write)
	text, err = os.ReadFile(mine)
	require.NoError(t, err)
	assert.NotEqual(t, "mine", string(text))
}

// Another sweep, view or size of window is taken up at once.
func TestTheSheetIsTurned(t *testing.T) {
	w, h, p := newProofed(t, 1)
	p.workedOut(t)
	fyne.DoAndWait(func() { p.bar.swept(3) })
	require.Equal(t, "grow", p.sweep.Of.Name)
	require.Len(t, p.items, 7)
	assert.True(t, p.items[3].Now, "growing by 0 is one of the values")
	p.workedOut(t)
	h.PressOn(t, p.bar.values)
	h.Write("3")
	h.Key(fyne.KeyReturn, 0)
	require.Len(t, p.items, 3)
	assert.True(t, p.items[1].Now)
	p.workedOut(t)
	fyne.DoAndWait(func() { p.setView(view.Matte) })
	p.workedOut(t)
	fyne.DoAndWait(func() { p.bar.swept(0) })
	assert.False(t, p.bar.ends.Visible())
	assert.False(t, p.side.plot.Visible())
	require.Len(t, p.items, 1)
	p.workedOut(t)

	before := p.grid.plan.picture
	fyne.DoAndWait(func() { w.win.Resize(fyne.NewSize(1600, 1000)) })
	stage.Eventually(t, "a larger sheet", func() bool { return p.grid.plan.picture.Width > before.Width })
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(p.bar.sort)
	assert.InDelta(t, 1600, at.X+p.bar.sort.Size().Width, 60)
	p.workedOut(t)
}

// Of a sequence four frames are shown in each cell, and the figures are their means.
func TestFourSpreadFrames(t *testing.T) {
	w, h, p := newProofed(t, 9)
	p.workedOut(t)
	require.True(t, w.desk.Several())
	assert.False(t, p.flickers(), "frame 1 has none before it")
	assert.Nil(t, p.figures[0].Flicker)
	fyne.DoAndWait(func() { p.setFrames(1, true) })
	assert.Equal(t, []int{1, 3, 6, 9}, p.frames())
	p.workedOut(t)
	assert.Equal(t, 4, p.figures[0].Frames)
	require.NotNil(t, p.figures[0].Flicker)
	size := p.cells[0].picture.Image.Bounds().Size()
	assert.Equal(t, image.Pt(2*p.vp.VW, 2*p.vp.VH), size)
	assert.False(t, p.bar.frame.Visible())
	fyne.DoAndWait(func() { p.setFrames(1, false) })
	h.PressOn(t, p.bar.frame)
	h.Write("5")
	h.Key(fyne.KeyReturn, 0)
	assert.Equal(t, []int{5}, p.frames())
	p.workedOut(t)
	assert.NotNil(t, p.figures[0].Flicker)
}

// The pictures begin at the matte, or at the part of the frame that is looked at.
func TestTheSheetBeginsWhereTheWindowLooks(t *testing.T) {
	w, _ := newWindow(t, 1)
	assert.True(t, w.open(t).vp.Fitted, "the matte has specks all over the frame")
	w.looks = view.Viewport{W: 480, H: 270, VW: 900, VH: 600, X: 200, Y: 130, Zoom: 7}
	p := w.open(t)
	assert.Equal(t, 7.0, p.vp.Zoom)
	assert.InDelta(t, 200, p.vp.X, 1)
	assert.InDelta(t, 130, p.vp.Y, 1)
}

func TestExtentOf(t *testing.T) {
	m := colour.NewPlane(6, 5)
	assert.True(t, extentOf(&m).Empty())
	m.Row(1)[2], m.Row(3)[4], m.Row(4)[5] = 0.5, 1, 0.49
	assert.Equal(t, image.Rect(2, 1, 5, 4), extentOf(&m))
}

func TestFinerAboutTheLeast(t *testing.T) {
	_, _, p := newProofed(t, 1)
	p.workedOut(t)
	l, ok := proof.LeastMisfit(p.items, p.figures)
	require.True(t, ok && l.Inside)
	values := p.sweep.Values()
	fyne.DoAndWait(p.sweepFiner)
	assert.Equal(t, values[l.Item-1], p.sweep.From)
	assert.Equal(t, values[l.Item+1], p.sweep.To)
	p.workedOut(t)
	again, ok := proof.LeastMisfit(p.items, p.figures)
	require.True(t, ok)
	assert.InDelta(t, l.At, again.At, 0.6)
}

func TestCellsArePlanned(t *testing.T) {
	room := fyne.NewSize(900, 640)
	p := planCells(6, 4, room, 9./16)
	assert.Equal(t, 3, p.across)
	assert.LessOrEqual(t, p.height(6), room.Height)
	assert.Greater(t, p.picture.Width, float32(290))
	one := planCells(1, 4, room, 9./16)
	assert.Equal(t, 1, one.across)
	many := planCells(30, 5, room, 9./16)
	assert.Equal(t, 3, many.across, "the rest is scrolled to")
	assert.Greater(t, many.height(30), room.Height)
	for n := 1; n < 40; n++ {
		for _, width := range []float32{260, 900, 1540} {
			p := planCells(n, 5, fyne.NewSize(width, 700), 0.75)
			require.GreaterOrEqual(t, p.cell.Width, float32(leastCell))
			require.LessOrEqual(t, float32(p.across)*(p.cell.Width+cellGap)-cellGap, width+0.01)
		}
	}
}

// The softness of least misfit is one number: what the button of Trial offers stands in a
// cell, is the least, and is what the line beside the graph says.
func TestTheSheetOffersWhatTheDeskOffers(t *testing.T) {
	w, _ := newWindow(t, 1)
	w.edit(func(m *study.Matte) error {
		return m.Trial.SetCDL(w.desk.Frame, colour.CDL{Slope: [3]float64{1.12, 1.03, 0.92}, Power: [3]float64{0.92, 0.92, 0.92}, Saturation: 1.08})
	})
	stage.Eventually(t, "the seam", func() bool { _, ok := w.desk.BestSoftness(); return ok })
	best, _ := w.desk.BestSoftness()
	p := w.open(t)
	p.workedOut(t)
	require.Len(t, p.items, 6)
	l, ok := proof.LeastMisfit(p.items, p.figures)
	require.True(t, ok)
	assert.Equal(t, best, p.items[l.Item].Value)
	assert.Equal(t, "least misfit", p.cells[l.Item].tag.Text())
	assert.Equal(t, fmt.Sprintf("At %s px the misfit is least", desk.Trim(best, 1)), p.side.least.Text())
	fyne.DoAndWait(func() { p.setFrames(p.frame, true) })
	assert.False(t, p.items[l.Item].Offered, "it is of the frame shown alone")
}
