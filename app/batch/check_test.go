package batch

import (
	"encoding/json"
	"fmt"
	"halocline/app/export"
	"halocline/colour"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A checkedClip is what check prints, read back.
type checkedClip struct {
	Frames, Missing string
	Mattes          []struct {
		Name   string
		Frames []struct {
			Frame                             int
			Error                             string
			Area, EdgeWidth, Badness          float64
			Flicker, Change, Leak, IoU, DTSSD *float64
			Dropped, MaskedEdge               *float64
			Shifts                            []struct{ Mask, Matte string }
		}
		Summary struct {
			Judged, Unjudged int
			MaskedEdge       struct{ Frames int }
			Worst            []struct {
				Frame     int
				Badness   float64
				StandsOut bool
				What      string
			}
		}
	}
}

// truths writes the beach's true matte under a name for each frame.
func (b beach) truths(t *testing.T, name string, numbers ...int) string {
	t.Helper()
	folder := b.at("truth")
	require.NoError(t, os.MkdirAll(folder, 0o777))
	text, err := os.ReadFile(b.truth)
	require.NoError(t, err)
	for _, n := range numbers {
		require.NoError(t, os.WriteFile(filepath.Join(folder, fmt.Sprintf("%s.%06d.png", name, n)), text, 0o666))
	}
	return folder
}

// A gap, and a frame that is damaged, are told of; the rest is judged.
func TestCheckOfASequence(t *testing.T) {
	b := newBeach(t)
	folder := b.sequence(t, 1, 2, 3, 5, 6, 9)
	fit := result[fitReport](t, "fit", folder, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", "10,50 150,50 150,100 10,100", "--frame", "1")
	damaged := filepath.Join(folder, "dive.0006.png")
	require.NoError(t, os.Truncate(damaged, 300))

	status, stdout, stderr := run(t, "check", fit.Study, "--workers", "2", "--progress", "json")
	require.Zero(t, status, stderr)
	var got checkedClip
	require.NoError(t, json.Unmarshal([]byte(stdout), &got))
	require.Equal(t, []string{"1-3, 5-6, 9", "4, 7-8"}, []string{got.Frames, got.Missing})
	require.Contains(t, stderr, "halocline-batch: check: The clip lacks 4, 7-8: what changes across a gap is not judged.\n")
	require.Contains(t, stderr, "halocline-batch: check: Frame 6 cannot be judged: clip: "+damaged)
	require.Equal(t, 6, strings.Count(stderr, `"total":6`), "a line of progress for each frame")
	require.Len(t, got.Mattes, 1)
	m := got.Mattes[0]
	require.Equal(t, []int{5, 1}, []int{m.Summary.Judged, m.Summary.Unjudged})
	require.Equal(t, 5, m.Summary.MaskedEdge.Frames)
	require.Equal(t, 6, m.Summary.Worst[0].Frame)
	require.True(t, m.Summary.Worst[0].StandsOut)
	for _, f := range m.Frames {
		require.Equal(t, f.Frame == 6, f.Error != "", "frame %d", f.Frame)
		if f.Error == "" {
			require.InDelta(t, 119*29/(160.*120), f.Area, 0.01)
			require.Equal(t, "mask", f.Shifts[0].Mask)
			require.NotNil(t, f.Leak)
			require.NotNil(t, f.MaskedEdge)
		}
		require.Equal(t, f.Frame == 2 || f.Frame == 3, f.Flicker != nil, "frame %d", f.Frame)
		require.Nil(t, f.IoU)
	}
	for _, spans := range []string{"3-5", "7"} {
		status, _, stderr = run(t, "check", fit.Study, "--frames", spans)
		require.Equal(t, failed, status)
		require.Contains(t, stderr, "of --frames, want some of 1-3, 5-6, 9")
	}
}

// An outline that cuts through the subject is told in the report, among the worst and in a
// line, with the place; a loose one is not. The masks' core is the skin in the mask.
func TestCheckOfOutlinesThatCut(t *testing.T) {
	b := newBeach(t)
	var frames string
	for n := 1; n <= 2; n++ {
		frames = filepath.Dir(block(t, b.at(fmt.Sprintf("block/block.%04d.png", n))))
	}
	keep := discMask(t, b.at("k.png"), [][2]int{{60, 40}, {70, 80}, {80, 60}})
	drop := discMask(t, b.at("d.png"), [][2]int{{10, 10}, {150, 110}, {15, 100}})
	fit := result[fitReport](t, "fit", frames, "--keep", keep, "--drop", drop, "--name", "skin")
	check := func(points string) (f crossedClip, stderr string) {
		result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", points, "--search", "12", "--frame", "1")
		status, stdout, stderr := run(t, "check", fit.Study)
		require.Zero(t, status, stderr)
		require.NoError(t, json.Unmarshal([]byte(stdout), &f))
		return f, stderr
	}
	got, stderr := check("28,10 90,9 90,111 30,110")
	require.Regexp(t, `check: mask "mask" of matte "skin": the outline may cut the subject on frames 1-2, most on frame 1 at \d+, \d+, over \d+ px\n`, stderr)
	m := got.Mattes[0]
	for _, f := range m.Frames {
		require.NotEmpty(t, f.Crossings)
		c := f.Crossings[0]
		require.Equal(t, "mask", c.Mask)
		require.InDelta(t, 90, c.X, 7)
		require.InDelta(t, 60, c.Y, 9)
		require.InDelta(t, 80, c.Length, 25)
		require.InDelta(t, 1, *f.Core, 0.05)
	}
	require.Regexp(t, `^may be cut: the outline of mask "mask" may cut the subject at \d+, \d+, over \d+ px$`, m.Summary.Worst[0].What)
	require.True(t, m.Summary.Worst[0].StandsOut)
	require.Equal(t, 2, m.Summary.Core.Frames)

	got, stderr = check("28,10 133,9 130,111 30,110")
	require.NotContains(t, stderr, "may cut")
	for _, f := range got.Mattes[0].Frames {
		require.Empty(t, f.Crossings)
	}
}

// block writes a picture of a block of skin, 80 x 80 pixels, on sand.
func block(t *testing.T, path string) string {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
	rng := rand.New(rand.NewPCG(5, 6))
	m := colour.NewImage(beachW, beachH)
	for y := range beachH {
		for x := range beachW {
			c := colour.LCh{L: 70, C: 14, H: 95}
			if x >= 40 && x < 120 && y >= 20 && y < 100 {
				c = colour.LCh{L: 60, C: 28, H: 55}
			}
			v := c.Lab().RGB()
			n := func() float32 { return float32(0.01 * rng.NormFloat64()) }
			m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = float32(v.R)+n(), float32(v.G)+n(), float32(v.B)+n()
		}
	}
	return writePNG(t, path, func(w io.Writer) error { return export.EncodeRGB(w, m, 8) })
}

// A crossedClip is what check prints of where outlines may cut.
type crossedClip struct {
	Mattes []struct {
		Frames []struct {
			Core      *float64
			Crossings []checkCrossing
		}
		Summary struct {
			Core  struct{ Frames int }
			Worst []struct {
				StandsOut bool
				What      string
			}
		}
	}
}

func TestCheckAgainstATruth(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, span(1, 6)...), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	truth := b.truths(t, "skin", 1, 2, 3, 5, 6)
	status, _, stderr := run(t, "check", fit.Study, "--truth", truth)
	require.Equal(t, failed, status)
	require.Contains(t, stderr, truth+" (skin.000001.png to skin.000006.png) lacks a true matte of frame 4, want one for each frame")

	b.truths(t, "sand", 1, 2) // another class beside it
	got := result[checkedClip](t, "check", fit.Study, "--truth", truth, "--frames", "1-3,5-6", "--every", "2")
	require.Equal(t, "1, 3, 6", got.Frames)
	for _, f := range got.Mattes[0].Frames {
		require.Greater(t, *f.IoU, 0.95)
		require.Equal(t, f.Frame > 1, f.DTSSD != nil, "frame %d", f.Frame)
		if f.DTSSD != nil {
			require.Zero(t, *f.DTSSD, "frames and truths are alike")
		}
	}
	small := discMaskOf(t, filepath.Join(truth, "skin.000003.png"), 10, 10)
	got = result[checkedClip](t, "check", fit.Study, "--truth", truth, "--frames", "2-3")
	require.Equal(t, "batch: true matte "+small+" is 10 x 10 pixels, want 160 x 120 as the frames", got.Mattes[0].Frames[1].Error)

	result[fitReport](t, "fit", fit.Study, "--keep", b.drop, "--drop", b.keep, "--name", "sand")
	require.Len(t, result[checkedClip](t, "check", fit.Study).Mattes, 2)
	for says, args := range map[string][]string{
		`--truth is of one matte, the study has "skin", "sand": name one with --matte`: {fit.Study, "--truth", truth},
		"--every is 0, want 1 or more":        {fit.Study, "--every", "0"},
		"--workers is -1, want 0 or more":     {fit.Study, "--workers", "-1"},
		`--progress is "text", want json`:     {fit.Study, "--progress", "text"},
		"found 0 arguments, want check STUDY": {},
		`--frames "1-x": found "1-x"`:         {fit.Study, "--frames", "1-x"},
	} {
		status, _, stderr := run(t, append([]string{"check"}, args...)...)
		require.Equal(t, misused, status, says)
		require.Contains(t, stderr, says)
	}
	status, _, stderr = run(t, "check", fit.Study, "--matte", "hair")
	require.Equal(t, failed, status)
	require.Contains(t, stderr, `has no matte "hair"`)
}

// Where no frame could be judged the exit status is no success, and a matte that keeps
// nothing is told of: nothing stands out in it.
func TestCheckOfNothing(t *testing.T) {
	b := newBeach(t)
	folder := b.sequence(t, 1, 2, 3)
	fit := result[fitReport](t, "fit", folder, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	require.NoError(t, os.Truncate(filepath.Join(folder, "dive.0002.png"), 300))
	status, stdout, stderr := run(t, "check", fit.Study, "--frames", "2")
	require.Equal(t, failed, status)
	require.Contains(t, stderr, `none of the 1 frames of matte "skin" could be judged`)
	require.Contains(t, stdout, `"unjudged": 1`)

	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", "5000,1 6000,2 7000,3")
	status, _, stderr = run(t, "check", fit.Study, "--frames", "1,3")
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, `matte "skin" keeps nothing on any of the 2 frames judged`)
	status, _, stderr = run(t, "export", fit.Study, "--out", b.at("black"), "--frames", "1,3")
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, `halocline-batch: export: matte "skin" keeps nothing on frames 1, 3 (of 2 exported): it is black there`+"\n")
}

// A frame that has dabs may be gone: the others are judged by the dabs that are left, and
// what is lost is told.
func TestCheckWhereADabbedFrameIsGone(t *testing.T) {
	b := newBeach(t)
	folder := b.sequence(t, 1, 2, 3, 4)
	fit := result[fitReport](t, "fit", folder, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[fitReport](t, "fit", fit.Study, "--name", "skin", "--keep", b.keep, "--frame", "3", "--add")
	require.NoError(t, os.Remove(filepath.Join(folder, "dive.0003.png")))
	status, stdout, stderr := run(t, "check", fit.Study)
	require.Zero(t, status, stderr)
	var got checkedClip
	require.NoError(t, json.Unmarshal([]byte(stdout), &got))
	require.Equal(t, "1-2, 4", got.Frames)
	require.Equal(t, 3, got.Mattes[0].Summary.Judged)
	require.NotNil(t, got.Mattes[0].Frames[0].Dropped, "the dabs on frame 1 are left")
	require.Regexp(t, `(?m)^halocline-batch: check: The dabs of matte "skin" on frame 3 cannot be read and do not count: .*3.*$`, stderr)

	// Without any dab that can be read there is no plane between them.
	require.NoError(t, os.Truncate(filepath.Join(folder, "dive.0001.png"), 300))
	status, stdout, stderr = run(t, "check", fit.Study, "--frames", "2")
	require.Equal(t, failed, status, "the study is known by its first frame")
	require.Empty(t, stdout)
	require.Contains(t, stderr, "dive.0001.png")
}
