package batch

import (
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

func TestValuesGetKeysOnTheirFrames(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 1, 2, 3, 4, 5), "--keep", b.keep, "--drop", b.drop, "--name", "skin")

	result[edgeResult](t, "edge", fit.Study, "--matte", "skin", "--soften", "1", "--key")
	last := result[edgeResult](t, "edge", fit.Study, "--matte", "skin", "--soften", "3", "--frame", "5") // it has keys: another
	require.Equal(t, 3.0, last.Edge["soften"])
	at3 := result[baseResult](t, "base", fit.Study, "--exposure", "1", "--frame", "3", "--key")
	require.Equal(t, 1.0, at3.Base.Exposure)
	result[baseResult](t, "base", fit.Study, "--exposure", "0", "--frame", "1")
	told := result[baseResult](t, "base", fit.Study, "--frame", "2")
	require.Equal(t, 0.5, told.Base.Exposure, "half way, and nothing was set")

	s, err := study.Load(fit.Study)
	require.NoError(t, err)
	require.Equal(t, []study.Key[float64]{{Frame: 1, Value: 1}, {Frame: 5, Value: 3}}, s.Mattes[0].Edge.Soften.Keys)
	require.Equal(t, []study.Key[float64]{{Frame: 1, Value: 0}, {Frame: 3, Value: 1, Way: mask.Straight}}, s.Base.Exposure.Keys)
	require.False(t, s.Base.Path.Keyed())

	status, _, said := run(t, "base", fit.Study, "--frame", "6")
	require.Equal(t, 1, status)
	require.Contains(t, said, "has no frame 6 of --frame, want one of 1-5")
}

func TestSourcesCurveIsKeptAndRead(t *testing.T) {
	b := newBeach(t)
	log := result[baseResult](t, "base", b.picture, "--input", "acescct", "--grey", "20,20,6")
	require.Equal(t, "acescct", log.Base.Input)
	require.InDelta(t, 0, *log.Spread, 1e-3, "the grey is grey in the light of the curve")
	s, err := study.Load(log.Study)
	require.NoError(t, err)
	require.Equal(t, colour.ACEScct, s.Base.Input)
	status, _, said := run(t, "base", log.Study, "--input", "log7")
	require.Equal(t, 2, status)
	require.Contains(t, said, `--input: curve is "log7", want one of srgb, bt709, hlg, acescct`)
}

func TestFitAddsDabsOfOtherFrames(t *testing.T) {
	b := newBeach(t)
	first := result[fitReport](t, "fit", b.sequence(t, 1, 2, 3), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	more := result[fitReport](t, "fit", first.Study, "--keep", b.keep, "--drop", b.drop, "--name", "skin", "--add", "--frame", "3")
	require.Equal(t, first.Dabs, more.Dabs)
	require.Equal(t, 2*first.Separation.Keep, more.Separation.Keep)
	s, err := study.Load(first.Study)
	require.NoError(t, err)
	require.Len(t, s.Mattes, 1)
	frames := map[int]int{}
	for _, d := range s.Mattes[0].Dabs {
		frames[d.Frame]++
	}
	require.Equal(t, map[int]int{1: first.Dabs, 3: more.Dabs}, frames)

	again := result[fitReport](t, "fit", first.Study, "--keep", b.keep, "--name", "skin", "--replace")
	require.Less(t, again.Dabs, len(s.Mattes[0].Dabs))
	status, _, _ := run(t, "fit", first.Study, "--keep", b.keep, "--name", "skin", "--replace", "--add")
	require.Equal(t, 2, status)
}
