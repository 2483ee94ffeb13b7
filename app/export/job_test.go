package export

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// jobOf returns a job that exports mattes of a small picture of one grey,
// dive.0003.png in a folder of its own, into another folder.
func jobOf(t *testing.T, grey float32, out string, mattes ...string) Job {
	t.Helper()
	path := filepath.Join(t.TempDir(), "dive.0003.png")
	m := colour.NewImage(8, 6)
	for _, p := range []colour.Plane{m.R, m.G, m.B} {
		for i := range p.Pix {
			p.Pix[i] = grey
		}
	}
	require.NoError(t, WriteFile(path, func(w io.Writer) error { return EncodeRGB(w, m, 8) }))
	footage, err := clip.Open(path)
	require.NoError(t, err)
	print, err := study.Measure(t.Context(), path)
	require.NoError(t, err)
	s := study.New(study.Clip{Path: path, First: footage.First(), Count: 1, Footage: print})
	for _, name := range mattes {
		s.AddMatte(name, selection.LCh)
	}
	pattern, err := ParsePattern(DefaultPattern)
	require.NoError(t, err)
	j := Job{
		Study: s, Renderer: render.New(footage, 1, render.DefaultCache), Frames: []int{3},
		Kind: Matte, Depth: 8, Pattern: pattern, Folder: out,
	}
	for i := range s.Mattes {
		j.Mattes = append(j.Mattes, &s.Mattes[i])
	}
	return j
}

func TestJobReplacesWhatItWrote(t *testing.T) {
	out := t.TempDir()
	j := jobOf(t, 0.5, out, "skin", "sand")
	first, err := j.Run(t.Context())
	require.NoError(t, err)
	require.Len(t, first, 2)
	assert.Equal(t, "skin/dive-skin.000003.png", first[0].Name)
	again, err := j.Run(t.Context())
	require.NoError(t, err)
	assert.Equal(t, first, again)
	report, err := Verify(t.Context(), nil, out)
	require.NoError(t, err)
	assert.Equal(t, 2, report.Good)
	assert.True(t, report.Sound())
}

func TestJobLeavesTheFilesOfOthers(t *testing.T) {
	out := t.TempDir()
	stranger := filepath.Join(out, "skin", "dive-skin.000003.png")
	require.NoError(t, os.MkdirAll(filepath.Dir(stranger), 0o777))
	require.NoError(t, os.WriteFile(stranger, []byte("painted by hand"), 0o666))
	j := jobOf(t, 0.5, out, "sand", "skin")
	_, err := j.Run(t.Context())
	require.ErrorContains(t, err, "exists and was not written by an export")
	require.NoFileExists(t, filepath.Join(out, "sand", "dive-sand.000003.png"), "nothing is done")
	j.Overwrite = true
	_, err = j.Run(t.Context())
	require.NoError(t, err)
}

// Two dives may both be called dive, and have a matte called skin.
func TestJobLeavesMattesOfOtherFootage(t *testing.T) {
	out := t.TempDir()
	_, err := jobOf(t, 0.25, out, "skin").Run(t.Context())
	require.NoError(t, err)
	other := jobOf(t, 0.75, out, "skin")
	_, err = other.Run(t.Context())
	require.ErrorContains(t, err, "was made from other footage")
	report, err := Verify(t.Context(), nil, out)
	require.NoError(t, err)
	require.True(t, report.Sound())
	other.Overwrite = true
	_, err = other.Run(t.Context())
	require.NoError(t, err)
}

// A matte that somebody has retouched since is somebody's work, also where its
// size is what it was.
func TestJobLeavesRetouchedFiles(t *testing.T) {
	out := t.TempDir()
	j := jobOf(t, 0.5, out, "sand", "skin")
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	path := filepath.Join(out, "skin", "dive-skin.000003.png")
	own, err := os.ReadFile(path)
	require.NoError(t, err)
	var other bytes.Buffer
	painted := colour.NewPlane(8, 6) // flat, but of another shade
	for i := range painted.Pix {
		painted.Pix[i] = 0.5
	}
	require.NoError(t, EncodeGrey(&other, painted, 8))
	require.Len(t, other.Bytes(), len(own))
	for found, retouched := range map[string][]byte{
		"found 9 bytes, want " + strconv.Itoa(len(own)): []byte("retouched"),
		"found other bytes, want":                       other.Bytes(),
	} {
		require.NoError(t, os.WriteFile(path, retouched, 0o666))
		manifest, err := os.ReadFile(filepath.Join(out, ManifestName))
		require.NoError(t, err)
		j.Overwrite = false
		_, err = j.Run(t.Context())
		require.ErrorContains(t, err, "export: "+path+" was changed since an export wrote it: "+found)
		after, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, retouched, after)
		unchanged, err := os.ReadFile(filepath.Join(out, ManifestName))
		require.NoError(t, err)
		assert.Equal(t, manifest, unchanged, "nothing is done")

		j.Overwrite = true
		_, err = j.Run(t.Context())
		require.NoError(t, err)
		after, err = os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, own, after)
	}
	require.NoError(t, os.Remove(path))
	j.Overwrite = false
	_, err = j.Run(t.Context())
	require.NoError(t, err, "a file that is gone may be written")
}

// An export that was killed between the manifest's line and the file leaves a
// file of an earlier line, which is the folder's own as well.
func TestJobReplacesTheFileOfAnEarlierLine(t *testing.T) {
	out := t.TempDir()
	j := jobOf(t, 0.5, out, "skin")
	first, err := j.Run(t.Context())
	require.NoError(t, err)
	m, err := openManifest(out, ManifestName)
	require.NoError(t, err)
	next := first[0]
	next.Size, next.SHA256 = 12, strings.Repeat("0", 64)
	_, err = m.add(t.Context(), next)
	require.NoError(t, err)
	require.NoError(t, m.tidy(t.Context()), "which must not forget it")
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	for range 3 { // the line that counted is not needed any more
		require.NoError(t, m.tidy(t.Context()))
	}
	text, err := os.ReadFile(filepath.Join(out, ManifestName))
	require.NoError(t, err)
	assert.Equal(t, 2, strings.Count(string(text), "\n"), "a plan and a file")
	report, err := Verify(t.Context(), nil, out)
	require.NoError(t, err)
	assert.True(t, report.Sound())
}

// A leftContext ends once it has been asked so many times whether it has.
type leftContext struct {
	context.Context
	left atomic.Int64
}

func (c *leftContext) Err() error {
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// Wherever the work is when ctx ends, encoding too, it stops with ctx's error
// and leaves no picture.
func TestJobStops(t *testing.T) {
	for _, k := range Kinds {
		encoding := 0
		for n := int64(0); ; n++ {
			require.Less(t, n, int64(1000), "%s never ends", k)
			out := t.TempDir()
			j := jobOf(t, 0.5, out, "skin")
			j.Kind = k
			ctx := &leftContext{Context: t.Context()}
			ctx.left.Store(n)
			done, err := j.Run(ctx)
			if err == nil {
				require.Len(t, done, 1)
				break
			}
			require.ErrorIs(t, err, context.Canceled, "%s after %d", k, n)
			assert.Empty(t, done)
			pictures, err2 := filepath.Glob(filepath.Join(out, "*", "*"))
			require.NoError(t, err2)
			assert.Empty(t, pictures, "%s after %d", k, n)
			if strings.Contains(err.Error(), "picture left out") {
				encoding++
			}
		}
		assert.Positive(t, encoding, "%s: stopped while it was encoded", k)
	}
}

// Exports that run at the same time, as from a shell's loop, all stand in the
// manifest.
func TestJobsSideBySide(t *testing.T) {
	out := t.TempDir()
	names := []string{"skin", "sand", "water", "haze", "rest"}
	var all []Job
	for range 3 {
		for i := range names {
			j := jobOf(t, 0.5, out, names...)
			j.Mattes = j.Mattes[i : i+1]
			all = append(all, j)
		}
	}
	var group sync.WaitGroup
	for _, j := range all[:len(names)] {
		group.Go(func() {
			_, err := j.Run(context.Background())
			assert.NoError(t, err)
		})
	}
	group.Wait()
	for i, j := range all[len(names):] { // until lines have piled up
		if i < len(names) {
			j.Depth = 16
		}
		_, err := j.Run(t.Context())
		require.NoError(t, err)
	}
	report, err := Verify(t.Context(), nil, out)
	require.NoError(t, err)
	assert.Equal(t, len(names), report.Good)
	assert.True(t, report.Sound())
	text, err := os.ReadFile(filepath.Join(out, ManifestName))
	require.NoError(t, err)
	assert.LessOrEqual(t, strings.Count(string(text), "\n"), 2*len(names)+2*len(names), "and two plans each: of 8 bits and of 16")
}

// A line that was cut when its writer was killed is left out, and what comes
// after it is whole.
func TestTornManifest(t *testing.T) {
	out := t.TempDir()
	j := jobOf(t, 0.5, out, "skin", "sand")
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	path := filepath.Join(out, ManifestName)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, text[:len(text)-20], 0o666))
	report, err := Verify(t.Context(), nil, out)
	require.NoError(t, err)
	assert.Equal(t, 1, report.Good)
	j.Overwrite = true
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	report, err = Verify(t.Context(), nil, out)
	require.NoError(t, err)
	assert.Equal(t, 2, report.Good)
	assert.True(t, report.Sound())
}
