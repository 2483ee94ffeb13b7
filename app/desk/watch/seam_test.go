package watch

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/seam"
	"halocline/app/proof"
	"halocline/app/study"
)

func TestASeamIsOfATrialThatGrades(t *testing.T) {
	s, r, _ := newScene(t, 2)
	m := &s.Mattes[0]
	m.Trial.Slope = [3]study.Number{study.Constant(1.6), study.Constant(1), study.Constant(0.8)}
	q := inquiryOf(s, r, 1)
	f := found(t, q)
	seam, err := FindSeam(t.Context(), q, m, &f)
	require.NoError(t, err)
	require.NotNil(t, seam)
	require.Empty(t, seam.Why)
	assert.Same(t, s, seam.About)
	assert.Equal(t, [2]int{m.ID, 1}, [2]int{seam.MatteID, seam.Frame})
	assert.Positive(t, seam.Figures.Misfit)
	assert.NotEmpty(t, seam.Along)
	assert.InDelta(t, 2, seam.Most, 1e-9, "an eightieth of the width")
	assert.GreaterOrEqual(t, seam.Best, 0.0)
	assert.LessOrEqual(t, seam.Best, seam.Most)
	assert.LessOrEqual(t, seam.Offer.Misfit, seam.Figures.Misfit+0.2, "the best is no worse than what is set")
	offered, err := proof.OfferedSoftness(t.Context(), r, s, &m.Settings, 1)
	require.NoError(t, err)
	require.NotNil(t, offered)
	assert.Equal(t, *offered, seam.Best, "the command line tells the same")

	m.Trial.Off = true
	seam, err = FindSeam(t.Context(), q, m, &f)
	assert.NoError(t, err)
	assert.Nil(t, seam)
	offered, err = proof.OfferedSoftness(t.Context(), r, s, &m.Settings, 1)
	assert.NoError(t, err)
	assert.Nil(t, offered)
}

func TestAMatteOfAllHasNoSeam(t *testing.T) {
	s, r, _ := newScene(t, 1)
	m := &s.Mattes[0]
	m.Settings = study.NewSettings(0)
	m.Trial.Slope[0].Fix(2)
	q := inquiryOf(s, r, 0)
	f := found(t, q)
	seam, err := FindSeam(t.Context(), q, m, &f)
	require.NoError(t, err)
	assert.NotEmpty(t, seam.Why)
	assert.Empty(t, seam.Along)
}

func TestTheWidestIsWhatMostStaysBelow(t *testing.T) {
	assert.Zero(t, widestOf(nil))
	pieces := make([]seam.Piece, 100)
	for i := range pieces {
		pieces[(i*37)%100].Misfit = float64(i)
	}
	assert.Equal(t, 95.0, widestOf(pieces))
	assert.Equal(t, 7.0, widestOf([]seam.Piece{{Figures: seam.Figures{Misfit: 7}}}))
}
