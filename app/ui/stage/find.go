package stage

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/require"

	"halocline/app/ui/look"
)

// Seen returns the visible objects of a type for which like is true, in the order in
// which they are drawn.
func Seen[T fyne.CanvasObject](c fyne.Canvas, like func(T) bool) (all []T) {
	Visit(c, func(o fyne.CanvasObject, _ fyne.Position, shown bool) {
		if o, ok := o.(T); ok && shown && like(o) {
			all = append(all, o)
		}
	})
	return all
}

// Find is the last of what Seen returns; there must be one.
func Find[T fyne.CanvasObject](t testing.TB, c fyne.Canvas, what string, like func(T) bool) T {
	t.Helper()
	all := Seen(c, like)
	require.NotEmpty(t, all, "no %s", what)
	return all[len(all)-1]
}

// Any is like everything.
func Any[T fyne.CanvasObject](T) bool { return true }

// Says reports whether a line of text can be seen that contains a part.
func Says(c fyne.Canvas, part string) bool {
	return len(Seen(c, func(l *look.Label) bool { return strings.Contains(l.Text(), part) })) > 0
}

// Hinted is what can be seen of a type whose hint begins like that.
func Hinted[T interface {
	fyne.CanvasObject
	ToolTip() string
}](t testing.TB, c fyne.Canvas, hint string) T {
	t.Helper()
	return Find(t, c, hint, func(o T) bool { return strings.HasPrefix(o.ToolTip(), hint) })
}

// Row is the value's row of a name that can be seen.
func Row(t testing.TB, c fyne.Canvas, name string) *look.ValueRow {
	t.Helper()
	return Find(t, c, "row "+name, func(r *look.ValueRow) bool { return r.Name() == name })
}

// Notch is the control of the keys of a value that can be seen.
func Notch(t testing.TB, c fyne.Canvas, name string) *look.Notch {
	t.Helper()
	return Find(t, c, "notch of "+name, func(n *look.Notch) bool { return n.Name() == name })
}

// PressSegment presses the ith of n segments of much the same width.
func (h *Hand) PressSegment(t testing.TB, s *look.Segments, i, n int) {
	t.Helper()
	at := h.Middle(t, s)
	h.Tap(at.AddXY(s.Size().Width*(float32(2*i+1)/float32(2*n)-0.5), 0), desktop.MouseButtonPrimary)
}

// TypeInRow types a value's number.
func (h *Hand) TypeInRow(t testing.TB, r *look.ValueRow, text string) {
	t.Helper()
	at := h.Middle(t, r)
	h.Tap(at.AddXY(r.Size().Width/2-40, 0), desktop.MouseButtonPrimary)
	h.Write(text)
	h.Key(fyne.KeyReturn, 0)
}
