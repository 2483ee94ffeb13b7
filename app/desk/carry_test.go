package desk

import (
	"context"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/carry"
	"halocline/app/study"
)

// The study goes as it stands, with edits that are not saved; a clip that cannot be opened is told, and
// the others go on.
func TestCarryFromTheDesk(t *testing.T) {
	r := newRig(t, 3)
	r.Slide("Soften", study.Moved, softened(3))
	r.Slide("Soften", study.Done, softened(3))
	run := r.Carry()
	other := writeScene(t, 2)
	folder := t.TempDir()
	var told []string
	var errs []error
	_, err := run(t.Context(), []string{filepath.Join(folder, "gone.png"), other}, folder, carry.Options{}, func(i int, res carry.Result, err error) {
		errs = append(errs, err)
		if err == nil {
			told = append(told, res.Work.Path)
		}
	})
	require.NoError(t, err)
	require.Len(t, errs, 2)
	require.ErrorContains(t, errs[0], "gone.png")
	require.Equal(t, []string{filepath.Join(folder, "tape.halocline")}, told)
	s, err := study.Load(told[0])
	require.NoError(t, err)
	assert.Equal(t, 3.0, s.Mattes[0].Edge.Soften.Value)
	assert.True(t, s.Mattes[0].Carried.Is())

	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = r.Carry()(ctx, []string{other}, t.TempDir(), carry.Options{}, func(int, carry.Result, error) { t.Error("nothing is told once it is stopped") })
	require.ErrorIs(t, err, context.Canceled)
}

func TestStaleWords(t *testing.T) {
	m := &study.Matte{Carried: study.Carried{From: "wall"}}
	assert.Empty(t, StaleWords(m))
	m.Carried.Moved = study.Moves{Hue: true, Lightness: true}
	assert.Equal(t, "Stale: hue, lightness moved since clip wall. Fit it to dabs here.", StaleWords(m))
}
