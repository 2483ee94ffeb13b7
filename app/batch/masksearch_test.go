package batch

import (
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/export"
	"halocline/app/study"
	"halocline/colour"
)

// lazily is an outline drawn about the beach's skin, up to 12 pixels off it.
const lazily = "10,50 80,53 150,49 148,101 70,98 12,100"

// maskScore exports the mask of a study's first frame and compares it with a true one.
func maskScore(t *testing.T, b beach, study string) float64 {
	out := filepath.Join(t.TempDir(), "out")
	made := result[exportReport](t, "export", study, "--out", out, "--kind", "mask")
	return result[map[string]any](t, "score", filepath.Join(out, made.Files[0].Name), "--truth", b.truth)["iou"].(float64)
}

func TestMaskIsLedToThePicturesEdge(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	drawn := result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", lazily, "--name", "limb")
	require.Zero(t, drawn.Masks[0].Search, "as drawn")
	require.Less(t, maskScore(t, b, fit.Study), 0.65)

	led := result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--search", "16")
	require.Equal(t, drawn.Masks[0].Keys, led.Masks[0].Keys, "the outline stays")
	require.Equal(t, 16.0, led.Masks[0].Search)
	require.Greater(t, maskScore(t, b, fit.Study), 0.97)

	changed := result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--tight", "--feather", "1,2", "--rounded", "--name", "LIMB")
	require.Equal(t, 16.0, changed.Masks[0].Search, "what is not given stays")
	require.True(t, changed.Masks[0].Keys[0].Tight)
	require.True(t, changed.Masks[0].Rounded)
	require.Equal(t, 2.0, changed.Masks[0].Keys[0].Outer)
	changed = result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", lazily)
	require.False(t, changed.Masks[0].Keys[0].Tight, "an outline drawn anew")
	changed = result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--search", "0")
	require.Zero(t, changed.Masks[0].Search)
}

func TestDabsOfASearch(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	status, _, stderr := run(t, "mask", fit.Study, "--matte", "skin", "--keep-dab", "50,75,4")
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, "no mask of matte \"skin\" searches an edge on frame 7")
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", lazily, "--search", "16", "--clear-dabs")
	without := maskScore(t, b, fit.Study)

	status, _, stderr = run(t, "mask", fit.Study, "--matte", "skin", "--drop-dab", "80,75,8", "--keep-dab", "5,5,2", "--keep-dab", "30,70,2")
	require.Zero(t, status, stderr)
	require.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
	require.Contains(t, stderr, "keep dab 5,5,2 has no say: it lies outside")
	info := result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--search", "16")
	require.Equal(t, []dabReport{{7, 5, 5, 2, "keep"}, {7, 30, 70, 2, "keep"}, {7, 80, 75, 8, "drop"}}, info.Dabs, "the first was cleared")
	require.Less(t, maskScore(t, b, fit.Study), without-0.02, "a hole where the dab says so")

	cleared := result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--clear-dabs")
	require.Empty(t, cleared.Dabs)
	require.Equal(t, without, maskScore(t, b, fit.Study))
}

// offBox is how far a place lies from the border of a rectangle, in pixels.
func offBox(p [2]float64, x0, y0, x1, y1 float64) float64 {
	dx, dy := max(x0-p[0], p[0]-x1), max(y0-p[1], p[1]-y1)
	if dx > 0 && dy > 0 {
		return math.Hypot(dx, dy)
	}
	return math.Abs(max(dx, dy))
}

func TestFoundEdgeBecomesATightKey(t *testing.T) {
	b := newBeach(t)
	folder := b.sequence(t, 7, 8, 9)
	fit := result[fitReport](t, "fit", folder, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	for _, frame := range []string{"7", "9"} {
		result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", lazily, "--search", "16", "--feather", "1,0", "--frame", frame)
	}
	before := maskScore(t, b, fit.Study)
	found := result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--found", "--frame", "8")
	require.Len(t, found.Masks, 1)
	keys := found.Masks[0].Keys
	require.Len(t, keys, 3)
	require.True(t, keys[1].Tight)
	require.Equal(t, 1.0, keys[1].Inner, "feather stays")
	for _, p := range keys[1].Points {
		require.LessOrEqual(t, offBox(p, 21, 61, 140, 90), 2.5, "%v", p)
	}
	for _, k := range []keyReport{keys[0], keys[2]} {
		require.Len(t, k.Points, len(keys[1].Points))
		require.False(t, k.Tight)
	}
	require.InDelta(t, before, maskScore(t, b, fit.Study), 0.002, "the other keys look as they did")
}

// ring is a picture of two skin-coloured squares on sand, one of which has a hole.
func ring(t *testing.T, path string) string {
	rng := rand.New(rand.NewPCG(3, 4))
	m := colour.NewImage(beachW, beachH)
	for y := range beachH {
		for x := range beachW {
			c := colour.LCh{L: 70, C: 14, H: 95}
			in := func(x0, y0, x1, y1 int) bool { return x >= x0 && x < x1 && y >= y0 && y < y1 }
			if in(20, 30, 90, 90) && !in(40, 45, 70, 75) || in(105, 40, 140, 80) {
				c = colour.LCh{L: 60, C: 28, H: 55}
			}
			v := c.Lab().RGB()
			n := func() float32 { return float32(0.01 * rng.NormFloat64()) }
			m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = float32(v.R)+n(), float32(v.G)+n(), float32(v.B)+n()
		}
	}
	return writePNG(t, path, func(w io.Writer) error { return export.EncodeRGB(w, m, 8) })
}

func TestFurtherPartsAndHolesOfAFoundEdge(t *testing.T) {
	b := newBeach(t)
	picture := ring(t, b.at("ring.0001.png"))
	keep := discMask(t, b.at("k.png"), [][2]int{{30, 60}, {80, 60}, {120, 60}})
	drop := discMask(t, b.at("d.png"), [][2]int{{8, 8}, {55, 60}, {150, 110}})
	fit := result[fitReport](t, "fit", picture, "--keep", keep, "--drop", drop, "--name", "skin")
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", "10,20 150,22 152,98 9,100", "--search", "20", "--feather", "1,2", "--name", "limb", "--drop-dab", "55,60,6")
	found := result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--name", "limb", "--found")
	require.Len(t, found.Masks, 3)
	for i, want := range []struct {
		name, kind     string
		x0, y0, x1, y1 float64
		inner, outer   float64
	}{{"limb", "keep", 20, 30, 90, 90, 1, 2}, {"limb 2", "keep", 105, 40, 140, 80, 1, 2}, {"hole 1", "drop", 40, 45, 70, 75, 2, 1}} {
		m := found.Masks[i]
		require.Equal(t, want.name, m.Name)
		require.Equal(t, want.kind, m.Kind)
		require.Equal(t, 20.0, m.Search)
		require.True(t, m.Keys[0].Tight)
		require.Equal(t, []float64{want.inner, want.outer}, []float64{m.Keys[0].Inner, m.Keys[0].Outer})
		for _, p := range m.Keys[0].Points {
			require.LessOrEqual(t, offBox(p, want.x0, want.y0, want.x1, want.y1), 3.0, "%s: %v", m.Name, p)
		}
	}
}

func read(t *testing.T, path string) string {
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(text)
}

func TestMaskSearchRefuses(t *testing.T) {
	b := newBeach(t)
	folder := b.sequence(t, 7, 8, 9)
	fit := result[fitReport](t, "fit", folder, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", lazily)
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", "1,1 6,1 6,6", "--search", "4", "--name", "sand", "--drop")
	before := read(t, fit.Study)
	for _, c := range []struct {
		args   []string // after the matte
		status int
		says   []string
	}{
		{[]string{"--name", "mask", "--search", "1001"}, failed, []string{`mask "mask"`, "1001 pixels deep", "0 to 1000"}},
		{[]string{"--name", "mask", "--search", "NaN"}, failed, []string{`mask "mask"`, "NaN pixels deep"}},
		{[]string{"--name", "mask", "--search", "deep"}, misused, []string{`"deep"`}},
		{[]string{"--name", "fin", "--search", "4"}, failed, []string{`"fin"`, `"mask", "sand"`, "--points"}},
		{[]string{"--search", "4"}, failed, []string{`"mask", "sand"`}},
		{[]string{"--name", "mask", "--tight", "--frame", "8"}, failed, []string{`mask "mask" has no key at frame 8`, "frame 7"}},
		{[]string{"--name", "mask", "--found"}, failed, []string{`mask "mask" searches no edge`, "--search"}},
		{[]string{"--name", "mask", "--found", "--search", "2000"}, failed, []string{"2000 pixels deep"}},
		{[]string{"--name", "mask", "--found", "--points", lazily}, misused, []string{"--points", "--found"}},
		{[]string{"--name", "mask", "--found", "--tight"}, misused, []string{"--tight", "--found"}},
		{[]string{"--keep-dab", "3,4"}, misused, []string{"X,Y,R"}},
		{[]string{"--keep-dab", "3,4,0"}, failed, []string{"radius is 0"}},
		{[]string{"--keep-dab", "1e12,4,2"}, failed, []string{"x is 1000000000000"}},
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
}

func TestDabsOfAFitForBoth(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin", "--for", "both")
	again := result[fitReport](t, "fit", fit.Study, "--keep", b.keep, "--drop", b.drop, "--name", "skin", "--for", "both", "--replace")
	require.Equal(t, fit.Pick, again.Pick)
	s, err := study.Load(fit.Study)
	require.NoError(t, err)
	m := s.MatteNamed("skin")
	require.Len(t, m.Dabs, 6)
	require.Len(t, m.MaskDabs, 6, "the second took the place of the first")
	for i, d := range m.MaskDabs {
		require.NotEqual(t, m.Dabs[i].ID, d.ID)
		d.ID = m.Dabs[i].ID
		require.Equal(t, m.Dabs[i], d)
	}
	plain := result[fitReport](t, "fit", fit.Study, "--keep", b.keep, "--drop", b.drop, "--name", "other")
	require.Equal(t, fit.Pick, plain.Pick)
	s, err = study.Load(fit.Study)
	require.NoError(t, err)
	require.Empty(t, s.MatteNamed("other").MaskDabs)

	for _, args := range [][]string{{"--for", "masks", "--keep", b.keep}, {"--for", "both", "--refit"}} {
		status, _, stderr := run(t, append([]string{"fit", fit.Study, "--name", "skin"}, args...)...)
		require.Equal(t, misused, status)
		require.Contains(t, stderr, "--for")
		require.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
	}
}
