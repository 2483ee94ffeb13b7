package batch

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/export"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// shot writes a clip of the beach in light of other gains, and returns its folder.
func (b beach) shot(t *testing.T, name string, gains [3]float32, numbers ...int) string {
	t.Helper()
	m, _, err := clip.Read(t.Context(), b.picture)
	require.NoError(t, err)
	for c, p := range []colour.Plane{m.R, m.G, m.B} {
		for i := range p.Pix {
			p.Pix[i] *= gains[c]
		}
	}
	for _, n := range numbers {
		writePNG(t, b.at(fmt.Sprintf("%s/%s.%04d.png", name, name, n)), func(w io.Writer) error { return export.EncodeRGB(w, m, 8) })
	}
	return b.at(name)
}

// Three clips in one call: one suits, one is in other light, one cannot be read. info says what is
// stale until it is fitted again, and that fit keeps fades that were set by hand.
func TestCarryToThreeClips(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, span(1, 3)...), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	s, err := study.Load(fit.Study)
	require.NoError(t, err)
	light := &s.Mattes[0].Pick.Limits[selection.Light]
	require.False(t, light.Off)
	light.Value.Before, light.Value.After, s.Mattes[0].Pick.Fitted = 1.5, 2.5, false
	require.NoError(t, study.Save(fit.Study, s))
	before, err := os.ReadFile(fit.Study)
	require.NoError(t, err)

	same := b.shot(t, "same", [3]float32{1, 1, 1}, 5, 6, 7)
	deep := b.shot(t, "deep", [3]float32{0.7, 0.75, 0.75}, 1, 2)
	notes := b.at("notes.txt")
	require.NoError(t, os.WriteFile(notes, []byte("seagrass"), 0o666))
	out := b.at("studies")
	status, stdout, stderr := run(t, "carry", fit.Study, same, notes, deep, "--out", out)
	require.Equal(t, failed, status)
	lines := strings.Split(strings.TrimSpace(stdout), "\n")
	require.Len(t, lines, 2)
	require.Equal(t, filepath.Join(out, "same.halocline")+": same: light shifted by 0.0 dE00; all picks suit it", lines[0])
	require.Contains(t, lines[1], filepath.Join(out, "deep.halocline")+": deep: light shifted by ")
	require.Contains(t, lines[1], "; to be fitted again: skin (")
	require.Contains(t, stderr, "notes.txt")
	require.Contains(t, stderr, "1 of 3 clips failed")

	got := result[carryReport](t, "carry", fit.Study, same, deep, "--json", "--out", out, "--overwrite")
	require.Len(t, got.Clips, 2)
	require.False(t, got.Clips[0].Mattes[0].Stale)
	require.True(t, got.Clips[1].Mattes[0].Stale)
	require.Contains(t, got.Clips[1].Mattes[0].Moved, "lightness")
	require.Greater(t, *got.Clips[1].Mattes[0].Unlike, 0.5)
	require.NotEqual(t, got.Clips[0].Noise, got.Clips[1].Noise, "it is measured anew: darker frames have less of it")

	stale := result[studyInfo](t, "info", got.Clips[1].Study)
	c := stale.Mattes[0].Carried
	require.NotNil(t, c)
	require.Equal(t, "dive", c.Clip)
	require.True(t, c.Stale)
	require.Contains(t, c.Sentence, "Carried from dive, and stale: ")
	fresh := result[studyInfo](t, "info", got.Clips[0].Study)
	require.Equal(t, "Carried from dive.", fresh.Mattes[0].Carried.Sentence)

	for _, one := range got.Clips {
		status, _, stderr = run(t, "fit", one.Study, "--keep", b.keep, "--drop", b.drop, "--name", "skin", "--replace")
		require.Zero(t, status, stderr)
		require.Contains(t, stderr, `matte "skin" was set by hand on clip dive`)
		require.False(t, result[studyInfo](t, "info", one.Study).Mattes[0].Carried.Stale)
	}
	s, err = study.Load(got.Clips[0].Study)
	require.NoError(t, err)
	now := s.Mattes[0].Pick.Limits[selection.Light]
	require.False(t, now.Off)
	require.Equal(t, [2]float64{1.5, 2.5}, [2]float64{now.Value.Before, now.Value.After})

	after, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	require.Equal(t, before, after)
}

func TestCarryOfBadInput(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 1, 2), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	shot := b.shot(t, "wall", [3]float32{1, 1, 1}, 1, 2)
	result[carryReport](t, "carry", fit.Study, shot, "--json")
	made := filepath.Join(shot, "wall.halocline")
	before, err := os.ReadFile(made)
	require.NoError(t, err)
	require.NoError(t, os.CopyFS(b.at("again/wall"), os.DirFS(shot)))
	require.NoError(t, os.Remove(b.at("again/wall/wall.halocline")))
	for says, args := range map[string][]string{
		"found 1 arguments, want carry STUDY CLIP": {fit.Study},
		made + " exists: choose another folder":    {fit.Study, shot},
		"dive is the clip that the study is of":    {fit.Study, b.at("dive")},
		"is a study, want a picture":               {fit.Study, fit.Study},
		"gone.mov":                                 {fit.Study, b.at("gone.mov")},
		"would both have their study at":           {fit.Study, shot, b.at("again/wall"), "--out", b.at("out")},
		"two.halocline":                            {b.at("two.halocline"), shot},
	} {
		status, _, stderr := run(t, append([]string{"carry"}, args...)...)
		require.NotZero(t, status, says)
		require.Contains(t, stderr, says)
	}
	after, err := os.ReadFile(made)
	require.NoError(t, err)
	require.Equal(t, before, after)
}
