package batch

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The pivot of the contrast control is the study's: what is told next is about it,
// by trial and by cdl, until another is given.
func TestPivotIsKept(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	turned := result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--contrast", "1.2", "--pivot", "0.3").Trial
	told := result[trialResult](t, "trial", fit.Study, "--matte", "skin").Trial
	require.Equal(t, turned, told)
	require.Equal(t, 0.3, told.Controls.Pivot)
	require.InDelta(t, 1.2, told.Controls.Contrast, 1e-9)
	require.InDelta(t, 0, told.Controls.Lightness, 1e-9, "about another pivot contrast would read as lightness too")
	text, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	require.Contains(t, string(text), `"pivot": 0.3`)
	written := result[cdlResult](t, "cdl", fit.Study, "--matte", "skin", "--file", b.at("skin.cc"), "--write")
	require.Equal(t, told, written.Cdls[0].Trial)

	moved := result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--pivot", "0.5").Trial
	require.Equal(t, 0.5, moved.Controls.Pivot)
	require.InDelta(t, 1.2, moved.Controls.Contrast, 1e-9, "what the controls read stays")
	require.NotEqual(t, told.Slope, moved.Slope)
}

// A field that this version does not know is told by a verb, in one line, and still
// stands in its object when the verb has saved the study.
func TestUnknownFieldsAreToldAndKept(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	text, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	const field = `"settled": {"value": 0.5}`
	known := bytes.Replace(text, []byte(`"pick": {`), []byte(`"edge": {`+field+`}, "pick": {`), 1)
	require.NotEqual(t, text, known)
	require.NotContains(t, string(text), `"edge"`, "else the field stands in a second one")
	require.NoError(t, os.WriteFile(fit.Study, known, 0o644))
	for _, args := range [][]string{{"edge", fit.Study, "--matte", "skin", "--soften", "1.5"}, {"info", fit.Study}} {
		status, _, stderr := run(t, args...)
		require.Zero(t, status, stderr)
		require.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
		require.Contains(t, stderr, "this version does not know the field mattes[0].edge.settled. It changes nothing and is kept.")
	}
	saved, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	require.Regexp(t, `"edge": \{"soften": \{"value": 1\.5\}, "settled": \{"value": 0\.5\}\}`, string(saved))
}
