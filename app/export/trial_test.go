package export

import (
	"bytes"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// The matte covers the upper red; the rest keeps its codes.
func TestTrialPicture(t *testing.T) {
	r, s := halves()
	grade := colour.NeutralCDL()
	grade.Slope[0], grade.Offset[2] = 0.5, 0.25
	require.NoError(t, s.Mattes[0].Trial.SetCDL(1, grade))
	d := drawer{renderer: r, study: s, depth: 16}
	var file, plain bytes.Buffer
	require.NoError(t, d.draw(t.Context(), &file, Trial, nil, 1))
	require.NoError(t, d.draw(t.Context(), &plain, Base, nil, 1))
	trial, err := png.Decode(&file)
	require.NoError(t, err)
	base, err := png.Decode(&plain)
	require.NoError(t, err)
	red, green, blue, _ := trial.At(5, 5).RGBA()
	assert.Equal(t, [3]uint32{uint32(colour.Code16(0.4)), uint32(colour.Code16(0.2)), uint32(colour.Code16(0.45))}, [3]uint32{red, green, blue})
	for _, p := range [][2]int{{30, 5}, {5, 15}, {30, 15}} {
		assert.Equal(t, base.At(p[0], p[1]), trial.At(p[0], p[1]))
	}
}

// A trial's picture is out of date when a trial that grades is changed; a matte's
// never is.
func TestTrialPicturesFollowTheTrials(t *testing.T) {
	out := t.TempDir()
	j := jobOf(t, 0.5, out, "skin", "sand")
	j.Kind = Trial
	run := func(k Kind) []Entry {
		j.Kind = k
		done, err := j.Run(t.Context())
		require.NoError(t, err)
		return done
	}
	first, mattes := run(Trial), run(Matte)
	require.Len(t, first, 1)
	assert.Equal(t, "trial/dive-trial.000003.png", first[0].Name)
	assert.Empty(t, first[0].Matte)
	assert.Equal(t, first, run(Trial))

	grade := colour.NeutralCDL()
	grade.Slope = [3]float64{0.5, 0.5, 0.5}
	require.NoError(t, j.Study.Mattes[1].Trial.SetCDL(3, grade))
	darker := run(Trial)
	assert.NotEqual(t, first[0].Digest, darker[0].Digest)
	assert.Equal(t, mattes, run(Matte))

	j.Study.Mattes[0].Note = "a note"
	j.Study.Mattes[0].Edge.Soften.Fix(3) // its trial is neutral
	assert.Equal(t, darker, run(Trial))
	j.Study.Mattes[1].Trial.Off = true
	require.NoError(t, os.Remove(filepath.Join(out, filepath.FromSlash(darker[0].Name))))
	assert.Equal(t, first[0].Digest, run(Trial)[0].Digest)
	report, err := Verify(t.Context(), nil, out)
	require.NoError(t, err)
	assert.True(t, report.Sound())
}
