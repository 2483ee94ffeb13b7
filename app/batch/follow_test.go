package batch

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/export"
	"halocline/colour"
)

// followedDrift is a study of a drift of n frames whose mask follows the limb from frame 1 to
// the frame before the last, led to its edge.
func followedDrift(t *testing.T, b beach, n int) (studyPath string) {
	path := drift(t, b, n)
	result[maskResult](t, "mask", path, "--matte", "skin", "--points", limbAt(1), "--way", "follow", "--search", "6")
	result[maskResult](t, "mask", path, "--matte", "skin", "--points", limbAt(n-1), "--frame", fmt.Sprint(n-1))
	return path
}

// outlinesIn counts the files of a folder of outlines.
func outlinesIn(t *testing.T, folder string) int {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.outline"))
	require.NoError(t, err)
	return len(files)
}

// followedCheck is what check prints of frames to which masks follow the picture.
type followedCheck struct {
	Mattes []struct {
		Frames []struct {
			Frame      int
			Confidence *float64
		}
		Summary struct {
			Confidence struct{ Least float64 }
			Worst      []struct{ What string }
		}
	}
}

func TestFollowMakesOutlinesAhead(t *testing.T) {
	b := newBeach(t)
	path := followedDrift(t, b, 7)
	plain := result[exportReport](t, "export", path, "--out", b.at("plain"), "--cache", b.at("elsewhere"), "--frames", "1-7")
	require.NoDirExists(t, path+".cache")

	made := result[followReport](t, "follow", path)
	require.Equal(t, path+".cache", made.Cache)
	require.Equal(t, "1-7", made.Frames)
	m := made.Mattes[0]
	require.Equal(t, []any{"skin", 4, 0}, []any{m.Name, m.Followed, m.Left})
	require.Len(t, m.Each, 4)
	require.Positive(t, m.Seconds)
	require.Empty(t, m.Lost)
	require.Greater(t, m.Least.Confidence, 0.6)
	require.Equal(t, 12, outlinesIn(t, made.Cache), "two outlines and one figure for each frame")

	status, stdout, stderr := run(t, "follow", path)
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, `matte "skin" follows the picture on 4 frames: all known before; confidence is least on frame`)
	require.Contains(t, stdout, `"left": 4`)

	status, _, stderr = run(t, "export", path, "--out", b.at("out"), "--frames", "1-7")
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, "masks follow the picture on 4 of the frames to be made: their outlines are known")
	again := result[exportReport](t, "export", path, "--out", b.at("out"), "--frames", "1-7")
	for i, e := range again.Files {
		require.Equal(t, plain.Files[i].SHA256, e.SHA256, "frame %d", e.Frame)
		require.Equal(t, plain.Files[i].Confidence, e.Confidence, "frame %d", e.Frame)
		require.Equal(t, e.Frame > 1 && e.Frame < 6, e.Confidence != "", "frame %d", e.Frame)
	}
	require.Equal(t, fmt.Sprintf("%.3f", m.Each[0].Confidence), again.Files[1].Confidence.String())
	require.Equal(t, 7, result[verifyReport](t, "verify", b.at("out")).Good)

	checked := result[followedCheck](t, "check", path)
	for _, f := range checked.Mattes[0].Frames {
		require.Equal(t, f.Frame > 1 && f.Frame < 6, f.Confidence != nil, "frame %d", f.Frame)
	}
	require.Equal(t, m.Least.Confidence, checked.Mattes[0].Summary.Confidence.Least)
	_, _, stderr = run(t, "check", path)
	require.Contains(t, stderr, fmt.Sprintf(`matte "skin" follows the picture on 4 frames: confidence is least on frame %d, %.2f`, m.Least.Frame, m.Least.Confidence))
}

// Shards work in one folder, each with what of the stretch leads to its frames; together they
// make what one call makes.
func TestFollowInShards(t *testing.T) {
	b := newBeach(t)
	path := followedDrift(t, b, 7)
	cache := b.at("cache")
	var followed int
	for i := range 3 {
		r := result[followReport](t, "follow", path, "--shard", fmt.Sprintf("%d/3", i), "--cache", cache)
		followed += r.Mattes[0].Followed
	}
	require.Equal(t, 4, followed)
	whole := result[followReport](t, "follow", path, "--cache", cache)
	require.Equal(t, 4, whole.Mattes[0].Left)
	alone := result[followReport](t, "follow", path, "--cache", b.at("alone"))
	require.Equal(t, alone.Mattes[0].Each, whole.Mattes[0].Each)
	_, _, stderr := run(t, "export", path, "--out", b.at("out"), "--frames", "3-4,7", "--cache", b.at("none"))
	require.Contains(t, stderr, "on 2 of the frames to be made, and 2 of these are to be followed first")
}

// A stopper ends a call once so many lines of its progress were written.
type stopper struct {
	bytes.Buffer
	lines int
	stop  func()
}

func (s *stopper) Write(p []byte) (int, error) {
	if s.lines -= bytes.Count(p, []byte(`"done"`)); s.lines <= 0 {
		s.stop()
	}
	return s.Buffer.Write(p)
}

// Who is stopped at any step goes on from there: what was kept stays, and nothing half done is
// left when all is done.
func TestFollowGoesOnWhereItWasStopped(t *testing.T) {
	b := newBeach(t)
	path := followedDrift(t, b, 6)
	want := result[followReport](t, "follow", path, "--cache", b.at("whole"))
	for lines := 1; lines < 6; lines++ {
		ctx, stop := context.WithCancel(t.Context())
		var out bytes.Buffer
		errs := &stopper{lines: lines, stop: stop}
		cache := b.at(fmt.Sprintf("cache%d", lines))
		require.Equal(t, failed, Run(ctx, []string{"follow", path, "--cache", cache, "--progress", "json"}, &out, errs), errs.String())
		stop()
		require.Contains(t, errs.String(), "the same call goes on from there")
		require.Contains(t, errs.String(), "stopped")
		before := outlinesIn(t, cache)
		require.Positive(t, before)
		got := result[followReport](t, "follow", path, "--cache", cache)
		require.Equal(t, want.Mattes[0].Each, got.Mattes[0].Each)
		require.Equal(t, 9, outlinesIn(t, cache), "stopped after %d", lines)
	}
}

// What lies in the folder and is spoilt is not read: that is told, and the mattes are the same.
func TestSpoiltOutlinesAreMadeAnew(t *testing.T) {
	b := newBeach(t)
	path := followedDrift(t, b, 6)
	cache := result[followReport](t, "follow", path).Cache
	want := result[exportReport](t, "export", path, "--out", b.at("want"))
	files, err := filepath.Glob(filepath.Join(cache, "*.outline"))
	require.NoError(t, err)
	for i, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		if i%2 == 0 {
			text = text[:len(text)-i-1]
		} else {
			text[len(text)/2] ^= 0x10
		}
		require.NoError(t, os.WriteFile(f, text, 0o600))
	}
	status, _, stderr := run(t, "export", path, "--out", b.at("got"))
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, "is not read: its bytes were changed or cut; what it should hold is made anew")
	for _, e := range want.Files {
		a, err := os.ReadFile(filepath.Join(b.at("want"), e.Name))
		require.NoError(t, err)
		got, err := os.ReadFile(filepath.Join(b.at("got"), e.Name))
		require.NoError(t, err)
		require.True(t, bytes.Equal(a, got), e.Name)
	}
}

func TestFollowRefuses(t *testing.T) {
	b := newBeach(t)
	path := followedDrift(t, b, 4)
	file := b.at("file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	for _, c := range []struct {
		args   []string
		status int
		says   []string
	}{
		{[]string{path, "--shard", "3/3"}, misused, []string{"3/3", "I/N"}},
		{[]string{path, "--progress", "bars"}, misused, []string{`"bars"`, "json"}},
		{[]string{path, "--frames", "x"}, misused, []string{"--frames", `"x"`}},
		{[]string{path, "--frames", "9"}, failed, []string{"lacks 9", "1-4"}},
		{[]string{path, "--matte", "hair"}, failed, []string{`"hair"`, `"skin"`}},
		{[]string{path, "--cache", filepath.Join(file, "in")}, failed, []string{"cannot be kept in", "want another folder"}},
		{nil, misused, []string{"follow STUDY"}},
	} {
		status, stdout, stderr := run(t, append([]string{"follow"}, c.args...)...)
		require.Equal(t, c.status, status, "%v: %s", c.args, stderr)
		require.Empty(t, stdout)
		for _, s := range c.says {
			require.Contains(t, stderr, s)
		}
	}

	result[maskResult](t, "mask", path, "--matte", "skin", "--way", "straight")
	status, stdout, stderr := run(t, "follow", path)
	require.Zero(t, status)
	require.Contains(t, stderr, "no mask follows the picture on any of the 4 frames")
	require.Equal(t, 1, strings.Count(stderr, "\n"))
	require.Contains(t, stdout, `"followed": 0`)
	require.NoDirExists(t, path+".cache", "nothing is written where nothing follows")
	_, _, stderr = run(t, "export", path, "--out", b.at("out"))
	require.NotContains(t, stderr, "follow")
	require.Equal(t, export.ManifestName, result[exportReport](t, "export", path, "--out", b.at("out")).Manifest)
}

// Where a key was set on something else, the mask is told to have lost what it follows.
func TestDoubtIsToldInWords(t *testing.T) {
	b := newBeach(t)
	path := drift(t, b, 5)
	result[maskResult](t, "mask", path, "--matte", "skin", "--points", limbAt(1), "--way", "follow")
	result[maskResult](t, "mask", path, "--matte", "skin", "--points", "100,80 140,80 140,110 100,110", "--frame", "5")
	_, _, stderr := run(t, "follow", path)
	require.Regexp(t, `confidence is least on frame [234], 0\.[0-5]\d: the mask may have lost it there: set a key`, stderr)
	checked := result[followedCheck](t, "check", path)
	var said []string
	for _, w := range checked.Mattes[0].Summary.Worst {
		said = append(said, w.What)
	}
	require.Contains(t, strings.Join(said, "; "), "the mask may have lost it here: set a key (confidence 0.")
}

// Where the shot changes within a stretch, a frame is missing or comes once more, follow and
// check say so, and no outline that came across a cut is sure.
func TestWhereAStretchDoesNotGoOnIsTold(t *testing.T) {
	b := newBeach(t)
	path := followedDrift(t, b, 9)
	again, err := os.ReadFile(b.at("drift/drift.0004.png"))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(b.at("drift/drift.0005.png"), again, 0o600))
	require.NoError(t, os.Remove(b.at("drift/drift.0003.png")))
	repeated := "frame 5 is the one before it once more: followed across it"
	missing := "frame 3 is missing: followed across it"
	_, _, stderr := run(t, "follow", path, "--frames", "1-2,4-9")
	require.Contains(t, stderr, `matte "skin": `+missing)
	require.Contains(t, stderr, `matte "skin": `+repeated)
	require.NotContains(t, stderr, "changes at once")

	other := colour.NewImage(beachW, beachH)
	for y := range beachH {
		for x := range beachW {
			v := float32((x/9*31+y/7*57+x/9*y/7*13)%100) / 100
			other.R.Row(y)[x], other.G.Row(y)[x], other.B.Row(y)[x] = v, v, v/2
		}
	}
	require.NoError(t, os.Remove(b.at("drift/drift.0007.png")))
	writePNG(t, b.at("drift/drift.0007.png"), func(w io.Writer) error { return export.EncodeRGB(w, other, 8) })
	cut := "the picture changes at once at frame 7: the stretch cannot follow across it, set keys at 6 and 7"
	status, stdout, stderr := run(t, "follow", path, "--frames", "1-2,4-9")
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, `matte "skin": `+cut)
	require.NotRegexp(t, `"confidence": 0\.`, stdout)
	status, stdout, stderr = run(t, "check", path)
	require.Zero(t, status, stderr)
	for _, words := range []string{cut, missing, repeated} {
		require.Contains(t, stderr, `matte "skin", mask "mask": `+words)
	}
	require.Regexp(t, `(?s)"breaks": \[\s*\{\s*"mask": "mask",\s*"cuts": \[\s*7,\s*8\s*\],\s*"missing": \[\s*3\s*\],\s*"repeats": \[\s*5\s*\]`, stdout)
	require.Contains(t, stdout, `"what": "`+cut+`"`)
}

// An export says beforehand about how long following takes: as soon as its first frames tell, or
// at once where it is known from before.
func TestExportSaysHowLongFollowingTakes(t *testing.T) {
	b := newBeach(t)
	path := followedDrift(t, b, 7)
	_, _, stderr := run(t, "export", path, "--out", b.at("first"))
	require.Contains(t, stderr, "and 4 of these are to be followed first, which takes longer than all else")
	require.Contains(t, stderr, "4 frames to be followed: a few seconds in all")
	kept, err := filepath.Glob(filepath.Join(path+".cache", "*.outline"))
	require.NoError(t, err)
	for _, f := range kept {
		require.NoError(t, os.Remove(f))
	}
	_, _, stderr = run(t, "export", path, "--out", b.at("second"))
	require.Contains(t, stderr, "and 4 of these are to be followed first: a few seconds")
	require.NotContains(t, stderr, "in all")
	require.NoError(t, os.WriteFile(filepath.Join(path+".cache", "pace"), []byte("30s\n"), 0o600))
	for _, f := range kept {
		require.NoError(t, os.Remove(f))
	}
	_, _, stderr = run(t, "export", path, "--out", b.at("third"))
	require.Contains(t, stderr, "4 of these are to be followed first: about 2 minutes")
}
