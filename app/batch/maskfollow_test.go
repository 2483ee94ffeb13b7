package batch

import (
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/export"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// limbLeft is where the limb of drift begins on a frame, in pixels.
func limbLeft(frame int) float64 { return 20 + 4*float64(frame-1) }

// limbAt is the outline of the limb of drift on a frame, as a flag.
func limbAt(frame int) string {
	x := limbLeft(frame)
	return fmt.Sprintf("%g,45 %g,45 %g,85 %g,85", x, x+40, x+40, x)
}

// drift writes frames 1 to n of a spotted limb that goes 4 pixels to the right with each, over
// sand, and returns a study of them with a matte "skin" that keeps all.
func drift(t *testing.T, b beach, n int) (studyPath string) {
	rng := rand.New(rand.NewPCG(5, 6))
	spots := make([]float64, beachW*beachH)
	for i := range spots {
		spots[i] = rng.Float64()
	}
	for frame := 1; frame <= n; frame++ {
		m := colour.NewImage(beachW, beachH)
		left := int(limbLeft(frame))
		for y := range beachH {
			for x := range beachW {
				c := colour.LCh{L: 70 + 8*spots[y/3*beachW+x/3], C: 14, H: 95}
				if x >= left && x < left+40 && y >= 45 && y < 85 {
					c = colour.LCh{L: 50 + 25*spots[y/3*beachW+(x-left)/3], C: 28, H: 55}
				}
				v := c.Lab().RGB()
				m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = float32(v.R), float32(v.G), float32(v.B)
			}
		}
		writePNG(t, b.at(fmt.Sprintf("drift/drift.%04d.png", frame)), func(w io.Writer) error { return export.EncodeRGB(w, m, 8) })
	}
	keep := discMask(t, b.at("limb.png"), [][2]int{{30, 55}, {40, 65}, {50, 75}})
	drop := discMask(t, b.at("sand.png"), [][2]int{{100, 20}, {110, 106}, {70, 20}})
	return result[fitReport](t, "fit", b.at("drift"), "--keep", keep, "--drop", drop, "--name", "skin").Study
}

func TestMaskFollowsBetweenItsKeys(t *testing.T) {
	b := newBeach(t)
	path := drift(t, b, 6)
	result[maskResult](t, "mask", path, "--matte", "skin", "--points", limbAt(1), "--way", "follow")
	x := limbLeft(5)
	made := result[maskResult](t, "mask", path, "--matte", "skin", "--frame", "5", "--after", "follow", "--points",
		fmt.Sprintf("%g,45 %g,45 %g,45 %g,85 %g,85", x, x+20, x+40, x+40, x))
	m := made.Masks[0]
	require.Equal(t, []string{"follow", "follow"}, []string{m.Keys[0].Way, m.Keys[1].Way}, "a key after the last goes on as that did")
	require.Equal(t, "follow", m.After)
	require.Empty(t, m.Before, "it holds")
	require.Len(t, m.Keys[0].Points, 4)
	require.Len(t, m.Keys[1].Points, 5, "the number of corners is free where the way follows")

	made = result[maskResult](t, "mask", path, "--matte", "skin", "--frame", "3", "--found")
	require.Len(t, made.Masks[0].Keys, 3)
	key := made.Masks[0].Keys[1]
	require.Equal(t, []any{3, true, "follow"}, []any{key.Frame, key.Tight, key.Way})
	at := limbLeft(3)
	for _, p := range key.Points {
		require.LessOrEqual(t, offBox(p, at, 45, at+40, 85), 1.5, "%v", p)
	}

	made = result[maskResult](t, "mask", path, "--matte", "skin", "--frame", "4", "--points", "60,45 90,45 80,85")
	require.Len(t, made.Masks[0].Keys[2].Points, 3)
	require.Equal(t, "follow", made.Masks[0].Keys[2].Way, "both parts of the stretch follow")
	made = result[maskResult](t, "mask", path, "--matte", "skin", "--frame", "6", "--points", "60,45 90,45 80,85")
	require.Equal(t, 6, made.Masks[0].Keys[4].Frame)
	made = result[maskResult](t, "mask", path, "--matte", "skin", "--frame", "6", "--after", "hold", "--before", "follow", "--way", "step")
	m = made.Masks[0]
	require.Equal(t, []string{"follow", "", "step"}, []string{m.Before, m.After, m.Keys[4].Way})

	s, err := study.Load(path)
	require.NoError(t, err)
	require.Equal(t, mask.Follows, s.MatteNamed("skin").Masks[0].Before)
}

func TestMaskRefusesWaysThatMakeNoSense(t *testing.T) {
	b := newBeach(t)
	folder := b.sequence(t, 7, 8, 9)
	fit := result[fitReport](t, "fit", folder, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", leftHalf)
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", leftHalf, "--frame", "9")
	before := read(t, fit.Study)
	for _, c := range []struct {
		args   []string // after the matte
		status int
		says   []string
	}{
		{[]string{"--way", "bounce"}, misused, []string{`"bounce"`, "straight, step, curved or follow"}},
		{[]string{"--before", "step"}, misused, []string{`"step"`, "hold or follow"}},
		{[]string{"--way", "follow", "--frame", "8"}, failed, []string{"no key at frame 8", "frames 7, 9"}},
		{[]string{"--points", "1,1 9,1 9,9", "--frame", "8"}, failed, []string{"4 corners", "has 3", "--way follow"}},
		{[]string{"--points", "1,1 9,1 9,9", "--frame", "8", "--way", "follow"}, failed, []string{"4 corners", "as in each of its keys"}},
		{[]string{"--found", "--frame", "8"}, failed, []string{"searches no edge", "does not follow the picture on frame 8"}},
	} {
		status, stdout, stderr := run(t, append([]string{"mask", fit.Study, "--matte", "skin"}, c.args...)...)
		require.Equal(t, c.status, status, "%v: %s", c.args, stderr)
		require.Empty(t, stdout)
		for _, s := range c.says {
			require.Contains(t, stderr, s)
		}
		require.Equal(t, 1, strings.Count(stderr, "\n"), "one line: %s", stderr)
		require.Equal(t, before, read(t, fit.Study), "the study is as it was")
	}

	// A number has no picture to follow: where it is to in a file, that is refused.
	_, _, stderr := run(t, "base", fit.Study, "--exposure", "0.5", "--frame", "7", "--key")
	require.Empty(t, stderr)
	text := read(t, fit.Study)
	spoilt := strings.Replace(text, `{"frame": 7, "value": 0.5}`, `{"frame": 7, "way": "follow", "value": 0.5}`, 1)
	require.NotEqual(t, text, spoilt)
	require.NoError(t, os.WriteFile(fit.Study, []byte(spoilt), 0o600))
	status, _, stderr := run(t, "info", fit.Study)
	require.Equal(t, failed, status)
	require.Contains(t, stderr, `base.exposure.keys[0].way is text "follow", want straight, step or curved`)
	require.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
}
