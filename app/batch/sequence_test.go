package batch

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/export"
	"halocline/app/sample"
	"halocline/app/study"
	"halocline/colour"
)

// sequence writes the beach's picture as frames of a sequence, in a folder that
// it returns.
func (b beach) sequence(t *testing.T, numbers ...int) string {
	t.Helper()
	for _, n := range numbers {
		writePNG(t, b.at(fmt.Sprintf("dive/dive.%04d.png", n)), func(w io.Writer) error { return copyOf(w, b.picture) })
	}
	return b.at("dive")
}

func copyOf(w io.Writer, path string) error {
	text, err := os.ReadFile(path)
	if err == nil {
		_, err = w.Write(text)
	}
	return err
}

func span(from, to int) (numbers []int) {
	for n := from; n <= to; n++ {
		numbers = append(numbers, n)
	}
	return numbers
}

// pictures lists the PNG files under a folder.
func pictures(t *testing.T, folder string) (list []string) {
	t.Helper()
	_ = filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if err == nil && filepath.Ext(path) == ".png" {
			list = append(list, path)
		}
		return nil
	})
	return list
}

func requireSameFiles(t *testing.T, want, got string) {
	t.Helper()
	list := pictures(t, want)
	require.Len(t, pictures(t, got), len(list))
	for _, path := range list {
		rel, err := filepath.Rel(want, path)
		require.NoError(t, err)
		a, err := os.ReadFile(path)
		require.NoError(t, err)
		b, err := os.ReadFile(filepath.Join(got, rel))
		require.NoError(t, err)
		require.True(t, bytes.Equal(a, b), rel)
	}
}

func TestTheWholeJobOnASequence(t *testing.T) {
	b := newBeach(t)
	folder := b.sequence(t, 1, 2, 3, 5, 6, 9)
	info := result[pictureInfo](t, "info", folder)
	require.Equal(t, "sequence", info.Kind)
	require.Equal(t, []int{1, 9, 6}, []int{info.First, info.Last, info.Count})
	require.Equal(t, "4, 7-8", info.Missing)
	require.Equal(t, []string{"The sequence runs from 1 to 9 and lacks frames 4, 7-8."}, info.Notices)
	require.Equal(t, beachW, info.Width)
	same := result[pictureInfo](t, "info", filepath.Join(folder, "dive.0003.png"), "--sequence")
	same.Path = info.Path
	require.Equal(t, info, same)
	still := result[pictureInfo](t, "info", filepath.Join(folder, "dive.0003.png"))
	require.Equal(t, []any{"picture", 3, 1}, []any{still.Kind, still.First, still.Count}, "a named file is one still")

	fit := result[fitReport](t, "fit", folder, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	require.Equal(t, filepath.Join(folder, "dive.halocline"), fit.Study)
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", "0,0 160,0 160,120 0,120", "--frame", "9")
	told := result[studyInfo](t, "info", fit.Study)
	require.Equal(t, []any{"yes", 1, 6}, []any{told.Found, told.First, told.Count})

	out := b.at("mattes")
	status, stdout, stderr := run(t, "export", fit.Study, "--out", out)
	require.Zero(t, status, stderr)
	require.Equal(t, "halocline-batch: export: dive.0001.png to dive.0009.png: The sequence runs from 1 to 9 and lacks frames 4, 7-8.\n", stderr,
		"the gaps are told of, and nothing else")
	require.Contains(t, stdout, "skin/dive-skin.000009.png")
	require.Equal(t, 6, result[verifyReport](t, "verify", out).Good)
	first, err := os.ReadFile(filepath.Join(out, "skin", "dive-skin.000001.png"))
	require.NoError(t, err)
	last, err := os.ReadFile(filepath.Join(out, "skin", "dive-skin.000009.png"))
	require.NoError(t, err)
	require.Equal(t, first, last, "one picture under two numbers")

	some := result[exportReport](t, "export", fit.Study, "--out", b.at("some"), "--frames", "5-6, 2")
	var frames []int
	for _, e := range some.Files {
		frames = append(frames, e.Frame)
	}
	require.Equal(t, []int{2, 5, 6}, frames)
	for spans, says := range map[string]string{"1-5": "lacks 4 of --frames, want some of 1-3, 5-6, 9", "7,0-2,10-999999999": "lacks 0, 7, 10-999999999 of --frames"} {
		status, _, stderr = run(t, "export", fit.Study, "--out", b.at("none"), "--frames", spans)
		require.Equal(t, failed, status)
		require.Contains(t, stderr, "dive.0001.png to dive.0009.png "+says)
		require.NoDirExists(t, b.at("none"))
	}
	status, _, stderr = run(t, "export", fit.Study, "--out", b.at("none"), "--pattern", "{matte}.png")
	require.Equal(t, failed, status)
	require.Contains(t, stderr, "lacks {frame}: 6 frames would share one file")
	require.NoDirExists(t, b.at("none"))
}

// An odd frame stops an export before anything is written, unless it is left out.
func TestOddFramesStopAnExportAtOnce(t *testing.T) {
	b := newBeach(t)
	folder := b.sequence(t, 1, 2, 3)
	fit := result[fitReport](t, "fit", folder, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	odd := discMaskOf(t, filepath.Join(folder, "dive.0003.png"), 10, 10)
	for _, args := range [][]string{{"export", fit.Study, "--out", b.at("o")}, {"info", folder}} {
		status, _, stderr := run(t, args...)
		require.Equal(t, failed, status)
		require.Contains(t, stderr, odd+": it is 10 x 10 pixels, want 160 x 120 as dive.0001.png")
		require.NoDirExists(t, b.at("o"))
	}
	require.Len(t, result[exportReport](t, "export", fit.Study, "--out", b.at("o"), "--frames", "1-2").Files, 2)
}

func TestSecondExportMendsTheFirst(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, span(1, 6)...), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	out, whole := b.at("mattes"), b.at("whole")
	result[exportReport](t, "export", fit.Study, "--out", whole)
	args := []string{"export", fit.Study, "--out", out}
	result[exportReport](t, append(args, "--frames", "2-5")...)
	file := func(n int) string { return filepath.Join(out, "skin", fmt.Sprintf("dive-skin.%06d.png", n)) }
	require.NoError(t, os.Truncate(file(3), 100))
	require.NoError(t, os.Remove(file(4)))
	status, _, stderr := run(t, args...)
	require.Zero(t, status, stderr)
	require.Equal(t, []string{
		"halocline-batch: export: 1 of 6 files that the manifest lists are missing and written again: skin/dive-skin.000004.png",
		"halocline-batch: export: 1 of 6 files that the manifest lists are damaged and written again: skin/dive-skin.000003.png",
		"halocline-batch: export: 2 of 6 files are there as an earlier export wrote them, from the same settings: left as they are",
	}, strings.Split(strings.TrimSpace(stderr), "\n"))
	requireSameFiles(t, whole, out)
	require.Equal(t, 6, result[verifyReport](t, "verify", out).Good)
}

func TestSampleOfSeveralFrames(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "scene")
	set := result[sampleReport](t, "sample", folder, "--size", "160x90", "--frames", "2")
	require.Equal(t, 2, set.Frames)
	s, err := study.Load(set.Study)
	require.NoError(t, err)
	require.Equal(t, []any{1, 2, [2]int{sample.FPS, 1}}, []any{s.Clip.First, s.Clip.Count, s.Clip.Rate})
	frame, err := sample.Render(t.Context(), 1, 2, 160, 90, 0)
	require.NoError(t, err)
	grey := func(p colour.Plane) func(io.Writer) error {
		return func(w io.Writer) error { return export.EncodeGrey(w, p, 16) }
	}
	for name, encode := range map[string]func(io.Writer) error{
		"frames/%06d.png":      func(w io.Writer) error { return export.EncodeRGB(w, frame.Image, 8) },
		"truth/skin.%06d.png":  grey(frame.Skin),
		"truth/sand.%06d.png":  grey(frame.Sand),
		"truth/water.%06d.png": grey(frame.Water),
	} {
		var want bytes.Buffer
		require.NoError(t, encode(&want))
		first, err := os.ReadFile(filepath.Join(folder, fmt.Sprintf(name, 1)))
		require.NoError(t, err)
		second, err := os.ReadFile(filepath.Join(folder, fmt.Sprintf(name, 2)))
		require.NoError(t, err)
		require.True(t, bytes.Equal(want.Bytes(), second), name)
		require.False(t, bytes.Equal(first, second), "%s: it moves", name)
		require.Contains(t, set.Written, fmt.Sprintf(name, 2))
	}
	require.Len(t, result[exportReport](t, "export", set.Study, "--out", filepath.Join(folder, "mattes"), "--matte", "skin").Files, 2)
	writePNG(t, filepath.Join(folder, "frames", "000009.png"), func(w io.Writer) error { return copyOf(w, set.Frame) })
	status, _, stderr := run(t, "sample", folder, "--size", "160x90", "--frames", "2")
	require.Equal(t, failed, status)
	require.Contains(t, stderr, "has 3 frames, want the 2 that were written")
}
