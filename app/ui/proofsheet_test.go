package ui

import (
	"encoding/csv"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/proof"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
	"halocline/selection"
)

// newDiscWindow is a window that is kept for the test, on frames of 480 x 270 pixels: a red disc, its edge a
// ramp of 8 px, on green, with some red specks. Its matte picks red, hard; there are
// dabs of both kinds.
func newDiscWindow(t testing.TB, frames int) (*window, *hand) {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	folder := t.TempDir()
	for n := 1; n <= frames; n++ {
		m := image.NewNRGBA(image.Rect(0, 0, 480, 270))
		for y := range 270 {
			for x := range 480 {
				u := min(max((70-math.Hypot(float64(x-240-2*n), float64(y-135)))/8+0.5, 0), 1)
				if x%60 == 7 && y%50 == 9 {
					u = 1
				}
				m.SetNRGBA(x, y, color.NRGBA{uint8(80 + 110*u), uint8(150 - 70*u), 80, 255})
			}
		}
		f, err := os.Create(filepath.Join(folder, fmt.Sprintf("disc.%03d.png", n)))
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, m))
		require.NoError(t, f.Close())
	}
	path := folder
	if frames == 1 {
		path = filepath.Join(folder, "disc.001.png")
	}
	w := newTestWindowOn(t, path)
	fyne.DoAndWait(func() {
		w.desk.Edit("Matte", func(s *study.Study, _ *study.Matte) error {
			m := s.AddMatte("disc", selection.HSL)
			m.Pick.Limits[selection.Hue].Off = false
			m.Pick.Limits[selection.Hue].Fix(selection.Range{From: -20, To: 60})
			m.Edge.Despeckle = study.Constant(0)
			for i, x := range []float64{230, 250, 60, 420} {
				s.AddDab(m, study.Dab{Frame: 1, X: x, Y: 135, Radius: 8, Kind: study.Kind(i / 2)})
			}
			w.desk.MatteID = m.ID
			return nil
		})
	})
	eventually(t, "the figures", w.desk.Fresh)
	return w, newHand(w)
}

// newProofed is such a window whose matte has a trial, with its sheet of proofs open.
func newProofed(t testing.TB, frames int) (*window, *hand, *proofSheet) {
	t.Helper()
	w, h := newDiscWindow(t, frames)
	fyne.DoAndWait(func() {
		w.desk.EditMatte("Trial", func(m *study.Matte) error {
			return m.Trial.SetCDL(w.desk.Frame, colour.CDL{Slope: [3]float64{1.12, 1.03, 0.92}, Power: [3]float64{0.92, 0.92, 0.92}, Saturation: 1.08})
		})
	})
	eventually(t, "the figures", w.desk.Fresh)
	h.pressOn(t, w.mattes.proof)
	p := w.proofs
	require.NotNil(t, p)
	t.Cleanup(func() { fyne.DoAndWait(p.worker.jobs.Stop) })
	return w, h, p
}

// workedOut waits for all that a sheet asks for.
func (p *proofSheet) workedOut(t testing.TB) {
	t.Helper()
	eventually(t, "the proofs", func() bool { return p.done })
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
	h.key(fyne.KeyRight, 0)
	assert.Equal(t, p.order[1], p.chosen)
	h.key(fyne.KeyDown, 0)
	assert.Equal(t, p.order[1+p.grid.plan.across], p.chosen)
	h.key(fyne.KeyDown, 0)
	assert.Equal(t, p.order[1+p.grid.plan.across], p.chosen, "nothing stands below")
	h.pressOn(t, p.cells[3].name)
	assert.Equal(t, 3, p.chosen)
	assert.Contains(t, p.side.lines[0].Text(), "Better: ")
	assert.Same(t, before, w.desk.Study())

	// The arrows do so too after a press elsewhere.
	fyne.DoAndWait(w.win.Canvas().Unfocus)
	h.key(fyne.KeyLeft, 0)
	assert.Equal(t, 2, p.chosen)

	// Sorted, the best stands first.
	fyne.DoAndWait(func() { p.setSort(9) })
	assert.Equal(t, "misfit", proof.Columns()[8].Name)
	assert.Equal(t, least.Item, p.order[0])
	assert.Equal(t, p.cells[least.Item], p.grid.cells[0])

	// Enter uses it: one edit, which can be undone.
	h.pressOn(t, p.cells[least.Item].name)
	edits := len(labels(w))
	h.key(fyne.KeyReturn, 0)
	require.False(t, w.sheets.IsOpen())
	require.Len(t, labels(w), edits+1)
	assert.Equal(t, "Use "+p.items[least.Item].Name, labels(w)[0])
	assert.Equal(t, p.items[least.Item].Value, w.desk.Matte().Edge.Soften.At(w.desk.Frame))
	fyne.DoAndWait(w.undo)
	assert.Equal(t, before.Matte(w.desk.MatteID).Settings, w.desk.Matte().Settings)
}

func TestAProofIsKeptAndTakenBack(t *testing.T) {
	w, h := newDiscWindow(t, 1)
	h.pressOn(t, w.mattes.keep)
	assert.Equal(t, "Keep as proof", labels(w)[0])
	assert.Equal(t, "Proofs 1", w.mattes.proof.Label())
	was := w.desk.Matte().Settings.Clone()
	fyne.DoAndWait(func() {
		w.desk.EditMatte("Soften", func(m *study.Matte) error {
			m.Edge.Soften = study.Constant(9)
			return nil
		})
	})
	h.key(fyne.KeyP, fyne.KeyModifierControl)
	p := w.proofs
	require.NotNil(t, p)
	t.Cleanup(func() { fyne.DoAndWait(p.worker.jobs.Stop) })
	assert.Nil(t, p.sweep, "there is something to be seen without one")
	require.Len(t, p.items, 2)
	p.workedOut(t)
	assert.Equal(t, proof.AsItIs, p.items[0].Name)
	h.pressOn(t, p.cells[1].name)

	// Its note is the study's at once, and undone like anything else.
	h.pressOn(t, p.side.note)
	h.write("before softening")
	h.key(fyne.KeyReturn, 0)
	assert.Equal(t, "before softening", w.desk.Matte().Proofs[0].Note)
	h.pressOn(t, p.side.use)
	require.False(t, w.sheets.IsOpen())
	assert.Equal(t, "Use proof 1", labels(w)[0])
	assert.Equal(t, was, w.desk.Matte().Settings)
	assert.Len(t, w.desk.Matte().Proofs, 1, "the proof stays")
}

func TestTheSweptAreKeptWithTheirNotes(t *testing.T) {
	w, h, p := newProofed(t, 1)
	p.workedOut(t)
	h.pressOn(t, p.cells[2].name)
	h.pressOn(t, p.side.note)
	h.write("soft enough")
	h.key(fyne.KeyReturn, 0)
	require.Empty(t, w.desk.Matte().Proofs)
	edits := len(labels(w))
	h.pressOn(t, h.button(t, "Keep all 6"))
	require.Len(t, labels(w), edits+1)
	require.Len(t, w.desk.Matte().Proofs, 6)
	assert.Equal(t, "soft enough", w.desk.Matte().Proofs[2].Note)
	require.Len(t, p.items, 6, "each stands once")
	assert.False(t, p.side.keep.Visible(), "all are kept")
	p.workedOut(t)

	h.pressOn(t, p.cells[2].name)
	assert.Equal(t, "soft enough", p.side.note.Text())
	h.pressOn(t, h.button(t, "Forget"))
	require.Len(t, w.desk.Matte().Proofs, 5)
	assert.True(t, p.side.keep.Visible())
	h.key(fyne.KeyEscape, 0)
	require.False(t, w.sheets.IsOpen())
}

// A drag moves all pictures, the wheel zooms all of them; below the pictures it does not.
func TestAllPicturesMoveTogether(t *testing.T) {
	_, h, p := newProofed(t, 1)
	p.workedOut(t)
	at := h.middle(t, p.cells[1].picture)
	before := p.vp
	h.move(at)
	h.wheel(2)
	assert.Greater(t, p.vp.Zoom, before.Zoom*1.2)
	zoomed := p.vp
	h.drag(desktop.MouseButtonPrimary, at, at.AddXY(-10, -4), at.AddXY(-30, -12))
	assert.Equal(t, zoomed.Zoom, p.vp.Zoom)
	assert.InDelta(t, zoomed.X+30/zoomed.Zoom, p.vp.X, 1/zoomed.Zoom+1e-6)
	assert.Equal(t, 1, p.chosen, "the press chose it")
	h.move(h.middle(t, p.cells[1].name))
	h.wheel(2)
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
		h.pressOn(t, h.button(t, button))
		fyne.DoAndWait(func() { p.foot.path.Set(path) })
		h.pressOn(t, p.foot.write)
		return path
	}
	sheet, table := write("Sheet as PNG", "s.png"), ""
	eventually(t, "the sheet", func() bool { return p.foot.said == "Written: "+sheet })
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
	h.pressOn(t, p.foot.write)
	text, err = os.ReadFile(mine)
	require.NoError(t, err)
	assert.NotEqual(t, "mine", string(text))
}

// Another sweep, view or size of window is taken up at once.
func TestTheSheetIsTurned(t *testing.T) {
	w, h, p := newProofed(t, 1)
	p.workedOut(t)
	fyne.DoAndWait(func() { p.bar.swept(2) })
	require.Equal(t, "grow", p.sweep.Of.Name)
	require.Len(t, p.items, 7)
	assert.True(t, p.items[3].Now, "growing by 0 is one of the values")
	p.workedOut(t)
	h.pressOn(t, p.bar.values)
	h.write("3")
	h.key(fyne.KeyReturn, 0)
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
	eventually(t, "a larger sheet", func() bool { return p.grid.plan.picture.Width > before.Width })
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
	h.pressOn(t, p.bar.frame)
	h.write("5")
	h.key(fyne.KeyReturn, 0)
	assert.Equal(t, []int{5}, p.frames())
	p.workedOut(t)
	assert.NotNil(t, p.figures[0].Flicker)
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
