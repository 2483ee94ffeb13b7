package export

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// sequenceJob returns a job that exports a matte of dive.1.png, dive.2.png,
// dive.4.png and dive.5.png, each of another grey, into a folder beside them.
func sequenceJob(t *testing.T) (j Job, folder string, told *[]string) {
	t.Helper()
	folder = t.TempDir()
	for _, n := range []int{1, 2, 4, 5} {
		writeGrey(t, filepath.Join(folder, fmt.Sprintf("dive.%d.png", n)), float32(n)/8)
	}
	footage, err := clip.OpenSequence(folder)
	require.NoError(t, err)
	print, err := study.Measure(t.Context(), footage.Path(1))
	require.NoError(t, err)
	s := study.New(study.Clip{Path: footage.Path(1), First: 1, Count: 4, Rate: [2]int{25, 1}, Footage: print})
	skin := s.AddMatte("skin", selection.LCh)
	pattern, err := ParsePattern(DefaultPattern)
	require.NoError(t, err)
	told = new([]string)
	return Job{
		Study: s, Renderer: render.New(footage, 1, render.DefaultCache), Mattes: []*study.Matte{skin}, Frames: footage.Frames(),
		Kind: Cutout, Depth: 8, Pattern: pattern, Folder: filepath.Join(folder, "out"),
		Notice: func(s string) { *told = append(*told, s) },
	}, folder, told
}

func writeGrey(t *testing.T, path string, grey float32) {
	t.Helper()
	m := colour.NewImage(8, 6)
	for _, p := range []colour.Plane{m.R, m.G, m.B} {
		for i := range p.Pix {
			p.Pix[i] = grey
		}
	}
	require.NoError(t, WriteFile(path, func(w io.Writer) error { return EncodeRGB(w, m, 8) }))
}

// aged dates a folder's pictures back, and returns a function that tells which
// have been written since.
func aged(t *testing.T, folder string) func() []string {
	t.Helper()
	long := time.Now().Add(-time.Hour).Truncate(time.Second)
	list, err := filepath.Glob(filepath.Join(folder, "*", "*.png"))
	require.NoError(t, err)
	for _, path := range list {
		require.NoError(t, os.Chtimes(path, long, long))
	}
	return func() (written []string) {
		list, err := filepath.Glob(filepath.Join(folder, "*", "*.png"))
		require.NoError(t, err)
		for _, path := range list {
			info, err := os.Stat(path)
			require.NoError(t, err)
			if !info.ModTime().Equal(long) {
				written = append(written, filepath.Base(path))
			}
		}
		return written
	}
}

func TestSequenceIsExportedByItsNumbers(t *testing.T) {
	j, _, told := sequenceJob(t)
	done, err := j.Run(t.Context())
	require.NoError(t, err)
	require.Len(t, done, 4)
	digests := map[string]bool{}
	for i, n := range []int{1, 2, 4, 5} {
		assert.Equal(t, fmt.Sprintf("skin-cutout/dive-skin-cutout.%06d.png", n), done[i].Name)
		assert.Equal(t, n, done[i].Frame)
		m, _, err := clip.Read(t.Context(), filepath.Join(j.Folder, done[i].Name))
		require.NoError(t, err)
		assert.InDelta(t, float64(n)/8, m.R.Pix[0], 0.003)
		digests[done[i].Digest] = true
	}
	assert.Len(t, digests, 4)
	assert.Empty(t, *told, "there is nothing to tell of a first export")
	report, err := Verify(t.Context(), nil, j.Folder)
	require.NoError(t, err)
	assert.Equal(t, 4, report.Good)
	assert.True(t, report.Sound())

	j.Frames = []int{2, 3}
	_, err = j.Run(t.Context())
	require.ErrorIs(t, err, clip.ErrNoFrame)
	j.Pattern, err = ParsePattern("{matte}.png")
	require.NoError(t, err)
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, "lacks {frame}: 2 frames would share one file")
}

// A second run writes what is missing, damaged, or would be made otherwise now,
// and nothing else.
func TestSecondRunGoesOn(t *testing.T) {
	j, folder, told := sequenceJob(t)
	frames := j.Frames
	j.Frames = frames[:3]
	first, err := j.Run(t.Context())
	require.NoError(t, err)
	file := func(i int) string { return filepath.Join(j.Folder, filepath.FromSlash(first[i].Name)) }
	own, err := os.ReadFile(file(0))
	require.NoError(t, err)
	for _, tt := range []struct {
		what    string
		befalls func()
		written []string
		says    []string
	}{
		{"frames that were not asked for before", func() { j.Frames = frames },
			[]string{"dive-skin-cutout.000005.png"}, []string{"3 of 4 files are there as an earlier export wrote them, from the same settings: left as they are"}},
		{"nothing", func() {}, nil, []string{"4 of 4 files are there"}},
		{"a file is gone", func() { require.NoError(t, os.Remove(file(1))) }, []string{"dive-skin-cutout.000002.png"},
			[]string{"1 of 4 files that the manifest lists are missing and written again: " + first[1].Name, "3 of 4 files are there"}},
		{"files are cut short", func() {
			require.NoError(t, os.Truncate(file(0), 0))
			require.NoError(t, os.Truncate(file(1), 5))
			require.NoError(t, os.Truncate(file(2), int64(len(own)-1)))
		}, []string{"dive-skin-cutout.000001.png", "dive-skin-cutout.000002.png", "dive-skin-cutout.000004.png"},
			[]string{"3 of 4 files that the manifest lists are damaged and written again: " + first[0].Name + ", " + first[1].Name + ", " + first[2].Name, "1 of 4 files are there"}},
		{"a byte of one is spoilt", func() {
			b := bytes.Clone(own)
			b[len(b)/2] ^= 1
			require.NoError(t, os.WriteFile(file(0), b, 0o666))
		}, []string{"dive-skin-cutout.000001.png"}, []string{"1 of 4 files that the manifest lists are damaged", "3 of 4"}},
		{"one was made by hand and may be replaced", func() {
			j.Overwrite = true
			require.NoError(t, os.WriteFile(file(0), []byte("retouched"), 0o666))
		}, []string{"dive-skin-cutout.000001.png"}, []string{"3 of 4"}},
		{"a frame of the footage is made anew", func() {
			j.Overwrite = false
			writeGrey(t, filepath.Join(folder, "dive.4.png"), 0.9)
			footage, err := clip.OpenSequence(folder)
			require.NoError(t, err)
			j.Renderer = render.New(footage, 1, render.DefaultCache)
		}, []string{"dive-skin-cutout.000004.png"}, []string{"3 of 4"}},
		{"the settings", func() { j.Study.Base.Exposure.Set(1, 0.5) },
			[]string{"dive-skin-cutout.000001.png", "dive-skin-cutout.000002.png", "dive-skin-cutout.000004.png", "dive-skin-cutout.000005.png"}, nil},
		{"the depth", func() { j.Depth = 16 },
			[]string{"dive-skin-cutout.000001.png", "dive-skin-cutout.000002.png", "dive-skin-cutout.000004.png", "dive-skin-cutout.000005.png"}, nil},
	} {
		since := aged(t, j.Folder)
		tt.befalls()
		*told = nil
		calls := 0
		j.Progress = func(Progress) { calls++ }
		done, err := j.Run(t.Context())
		require.NoError(t, err, tt.what)
		assert.Len(t, done, 4, tt.what)
		assert.Equal(t, 4, calls)
		assert.ElementsMatch(t, tt.written, since(), tt.what)
		require.Len(t, *told, len(tt.says), tt.what)
		for i, says := range tt.says {
			assert.Contains(t, (*told)[i], says, tt.what)
		}
		report, err := Verify(t.Context(), nil, j.Folder)
		require.NoError(t, err)
		assert.True(t, report.Sound(), tt.what)
	}
}

// What a person may have made is refused before anything is written, also beside
// files that are left or damaged.
func TestSecondRunLeavesWorkOfOthers(t *testing.T) {
	j, _, told := sequenceJob(t)
	first, err := j.Run(t.Context())
	require.NoError(t, err)
	file := func(i int) string { return filepath.Join(j.Folder, filepath.FromSlash(first[i].Name)) }
	require.NoError(t, os.Truncate(file(0), 30))
	var other bytes.Buffer
	require.NoError(t, png.Encode(&other, image.NewGray(image.Rect(0, 0, 8, 6))))
	for what, b := range map[string][]byte{
		"a sound picture":            other.Bytes(),
		"something after its end":    append(bytes.Clone(other.Bytes()), "notes"...),
		"a text":                     []byte("retouched"),
		"a signature in other hands": []byte("\x89PNG in the harbour"),
	} {
		require.NoError(t, os.WriteFile(file(3), b, 0o666))
		since := aged(t, j.Folder)
		_, err = j.Run(t.Context())
		require.ErrorContains(t, err, file(3)+" was changed since an export wrote it", what)
		assert.Empty(t, since(), "%s: nothing is done", what)
		assert.Empty(t, *told)
	}
}

func TestBroken(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, image.NewGray(image.Rect(0, 0, 20, 20))))
	sound := b.Bytes()
	assert.False(t, broken(bytes.NewReader(sound)))
	assert.False(t, broken(bytes.NewReader(append(bytes.Clone(sound), 1, 2, 3))))
	for n := range sound {
		assert.True(t, broken(bytes.NewReader(sound[:n])), "cut at %d", n)
	}
	for i := len(signature); i < len(sound); i++ {
		spoilt := bytes.Clone(sound)
		spoilt[i] ^= 0x10
		assert.True(t, broken(bytes.NewReader(spoilt)), "byte %d", i)
	}
	assert.False(t, broken(bytes.NewReader([]byte("sand"))))
	assert.False(t, isBroken(filepath.Join(t.TempDir(), "gone.png")))
	assert.False(t, isBroken(t.TempDir()))
}

// A matte that settles is made again where the footage of a frame beside it is another, is
// there now, or is so no more.
func TestSettledMattesDependOnTheFramesBeside(t *testing.T) {
	j, folder, _ := sequenceJob(t)
	j.Study.Mattes[0].Edge.Settle.Fix(0.5)
	j.Frames = []int{2, 4, 5}
	reopen := func() {
		footage, err := clip.OpenSequence(folder)
		require.NoError(t, err)
		j.Renderer = render.New(footage, 1, render.DefaultCache)
	}
	run := func() {
		_, err := j.Run(t.Context())
		require.NoError(t, err)
	}
	run()
	file := func(n int) string { return fmt.Sprintf("dive-skin-cutout.%06d.png", n) }
	for _, tt := range []struct {
		what    string
		befalls func()
		written []string
	}{
		{"nothing", func() {}, nil},
		{"the frame after is made anew", func() { writeGrey(t, filepath.Join(folder, "dive.5.png"), 0.9) }, []string{file(4), file(5)}},
		{"a gap is filled", func() { writeGrey(t, filepath.Join(folder, "dive.3.png"), 0.4) }, []string{file(2), file(4)}},
		{"what filled it is made anew", func() { writeGrey(t, filepath.Join(folder, "dive.3.png"), 0.5) }, []string{file(2), file(4)}},
		{"it is gone", func() { require.NoError(t, os.Remove(filepath.Join(folder, "dive.3.png"))) }, []string{file(2), file(4)}},
	} {
		since := aged(t, j.Folder)
		tt.befalls()
		reopen()
		run()
		assert.ElementsMatch(t, tt.written, since(), tt.what)
	}
}

// A frame whose footage is damaged has no picture, nor have those that settle with it; they say why.
func TestSettledMattesBesideADamagedFrame(t *testing.T) {
	j, folder, _ := sequenceJob(t)
	j.Study.Mattes[0].Edge.Settle.Fix(0.5)
	b, err := os.ReadFile(filepath.Join(folder, "dive.5.png"))
	require.NoError(t, err)
	b[len(b)-20] ^= 1
	require.NoError(t, os.WriteFile(filepath.Join(folder, "dive.5.png"), b, 0o666))
	_, err = j.Run(t.Context())
	require.ErrorContains(t, err, "frame 4 settles with frame 5")
	j.SkipBad = true
	_, err = j.Run(t.Context())
	var skipped *SkippedError
	require.ErrorAs(t, err, &skipped)
	assert.Equal(t, []int{4, 5}, skipped.Frames)
}

// The bytes of mattes that settle do not depend on how many workers there are, nor on which
// frames are asked for.
func TestSettledBytesOfAnExport(t *testing.T) {
	digests := map[string]string{}
	for i, frames := range [][]int{{1, 2, 4, 5}, {1, 2, 4, 5}, {2, 5}} {
		j, folder, _ := sequenceJob(t)
		for _, n := range j.Frames {
			require.NoError(t, WriteFile(filepath.Join(folder, fmt.Sprintf("dive.%d.png", n)), func(w io.Writer) error {
				m := colour.NewImage(64, 48)
				for k := range m.R.Pix {
					v := float32((k%64+n)*(k/64+40)%97) / 97
					m.R.Pix[k], m.G.Pix[k], m.B.Pix[k] = v, v/2, v/3
				}
				return EncodeRGB(w, m, 8)
			}))
		}
		footage, err := clip.OpenSequence(folder)
		require.NoError(t, err)
		j.Study.Clip.Footage, err = study.Measure(t.Context(), footage.Path(1))
		require.NoError(t, err)
		j.Renderer, j.Frames, j.Workers = render.New(footage, 1, render.DefaultCache), frames, []int{1, 7, 2}[i]
		j.Study.Mattes[0].Edge.Settle.Fix(1)
		j.Study.Mattes[0].Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 40, To: 100, Before: 20})}
		done, err := j.Run(t.Context())
		require.NoError(t, err)
		for _, e := range done {
			if was, known := digests[e.Name]; known {
				assert.Equal(t, was, e.SHA256, e.Name)
			}
			digests[e.Name] = e.SHA256
		}
	}
	assert.Len(t, digests, 4)
}
