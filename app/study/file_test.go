package study

import (
	"context"
	"errors"
	"flag"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
	"halocline/selection"
)

var update = flag.Bool("update", false, "write the golden files anew")

func TestRoundTrip(t *testing.T) {
	s := transect(t)
	text := encoded(t, s)
	got := decoded(t, text)
	assert.Equal(t, s, got)
	assert.Equal(t, text, encoded(t, got), "the same study gives the same bytes")
}

// The written form is part of the format: a change of it shows here.
func TestWrittenForm(t *testing.T) {
	golden := filepath.Join("testdata", "transect.halocline")
	text := encoded(t, transect(t))
	if *update {
		require.NoError(t, os.WriteFile(golden, []byte(text), 0o644))
	}
	want, err := os.ReadFile(golden)
	require.NoError(t, err)
	assert.Equal(t, string(want), text)
}

// A file as the design shows it: absent fields are neutral.
func TestReadsAHandWrittenFile(t *testing.T) {
	s := decoded(t, `{"halocline": 2, "clip": {"id": 1, "path": "transect/0001.png", "first": 1, "count": 72, "fps": [25, 1], "noise": [0.008, 0.007, 0.011]},
 "base": {"exposure": {"value": 0.3}, "path": {"keys": [{"frame": 1, "value": 2.4}, {"frame": 60, "value": 3.1, "way": "curved"}]}},
 "mattes": [{"id": 2, "name": "skin", "pick": {"model": "lch", "smooth": true, "hue": {"value": {"from": 20, "to": 58, "fadeBefore": 6, "fadeAfter": 9}}},
   "masks": [{"id": 3, "name": "swimmer", "kind": "keep", "rounded": true, "keys": [{"frame": 1, "way": "straight", "points": [[410.5, 220.0], [1, 2], [3, 4]]}]}],
   "edge": {"soften": {"value": 1.2}}, "dabs": [{"id": 4, "frame": 1, "x": 433, "y": 260, "radius": 12, "kind": "keep"}]}]}`)
	assert.Equal(t, 5, s.Next)
	m := s.MatteNamed("SKIN")
	require.NotNil(t, m)
	assert.Equal(t, selection.Limit{Range: selection.Range{From: 20, To: 58, Before: 6, After: 9}}, m.Pick.At(7).Limits[selection.Hue])
	assert.True(t, m.Pick.At(7).Limits[selection.Sat].Off, "a limit that is not there is off")
	assert.True(t, m.Pick.Smooth)
	assert.Equal(t, selection.Edge{Despeckle: 12, About: 0.5, Soften: 1.2}, m.Edge.At(1))
	assert.Equal(t, Mask{
		ID: 3, Name: "swimmer", Track: mask.Track{Rounded: true, Keys: []MaskKey{{
			Frame: 1, Points: []Point{{X: 410.5, Y: 220}, {X: 1, Y: 2}, {X: 3, Y: 4}}, Opacity: 1,
		}}},
	}, m.Masks[0])
	assert.Equal(t, []Dab{{ID: 4, Frame: 1, X: 433, Y: 260, Radius: 12, Kind: Keep}}, m.Dabs)
	assert.Equal(t, 1.0, s.Base.At(1).Contrast)
	assert.InDelta(t, 2.4+0.7*30/59, s.Base.At(31).Path, 1e-12)
}

func TestLoadRefuses(t *testing.T) {
	good := encoded(t, transect(t))
	swap := func(old, new string) string {
		require.Contains(t, good, old)
		return strings.Replace(good, old, new, 1)
	}
	deep := `{"halocline": 2, "extra": ` + strings.Repeat("[", 100_000) + strings.Repeat("]", 100_000) + "}"
	for name, tt := range map[string]struct{ text, want string }{
		"empty":          {" \n", "the file is empty"},
		"not JSON":       {"PNG", "line 1, column 1: invalid character 'P'"},
		"cut off":        {good[:len(good)/2], "the file ends in the middle"},
		"trailing":       {good + "{}", "invalid character '{' after top-level value"},
		"not an object":  {"[1]", "is not a study: found a list of 1, want an object"},
		"other JSON":     {`{"a": 1}`, `is not a study: it has no number "halocline"`},
		"newer":          {`{"halocline": 3, "sonar": {}}`, "is a study file of version 3, want version 2"},
		"older":          {`{"halocline": 1}`, "is a study file of version 1, want version 2"},
		"twice":          {swap(`"water": "3C"`, `"water": "3C", "water": "5C"`), `field "water" stands twice`},
		"bare NaN":       {swap(`"exposure": {"value": 0.3}`, `"exposure": {"value": NaN}`), "invalid character 'N'"},
		"NaN as text":    {swap(`"exposure": {"value": 0.3}`, `"exposure": {"value": "NaN"}`), `base.exposure.value is text "NaN", want a number`},
		"1e400":          {swap(`"exposure": {"value": 0.3}`, `"exposure": {"value": 1e400}`), "base.exposure.value is 1e400, which is beyond every number a setting can have"},
		"1e30":           {swap(`"exposure": {"value": 0.3}`, `"exposure": {"value": 1e30}`), "base: exposure is 1e+30, want -20 to 20"},
		"null":           {swap(`"exposure": {"value": 0.3}`, `"exposure": null`), "base.exposure is null, want an object"},
		"nothing":        {swap(`"exposure": {"value": 0.3}`, `"exposure": {}`), "base.exposure has neither a value nor keys"},
		"both":           {swap(`"exposure": {"value": 0.3}`, `"exposure": {"value": 1, "keys": []}`), "base.exposure has a value and keys"},
		"no keys":        {swap(`"exposure": {"value": 0.3}`, `"exposure": {"keys": []}`), "base.exposure.keys is empty"},
		"half a frame":   {swap(`"count": 72`, `"count": 7.5`), "clip.count is 7.5, want a whole number"},
		"huge count":     {swap(`"count": 72`, `"count": 99999999999999999999`), "clip.count is 99999999999999999999, want a whole number"},
		"no path":        {swap(`"path": "/dive/transect/0001.png"`, `"path": ""`), "clip: path is empty"},
		"no clip":        {`{"halocline": 2}`, "clip.id is missing"},
		"kind":           {swap(`"kind": "drop"`, `"kind": "erase"`), `mattes[0].masks[1].kind is text "erase", want keep or drop`},
		"way":            {swap(`"way": "curved"`, `"way": "bouncing"`), `base.path.keys[1].way is text "bouncing", want straight, step or curved`},
		"negative fade":  {swap(`"fadeBefore": 3`, `"fadeBefore": -3`), `matte "skin": chroma fadeBefore is -3, want 0 to 140`},
		"short pair":     {swap(`[410.5, 220]`, `[410.5]`), "mattes[0].masks[0].keys[0].points[0] is a list of 1, want [x, y]"},
		"smooth":         {swap(`"smooth": true`, `"smooth": 1`), "mattes[0].pick.smooth is 1, want true or false"},
		"fps":            {swap(`"fps": [25, 1]`, `"fps": [25]`), "clip.fps is a list of 1, want a list of 2 numbers"},
		"not UTF-8":      {swap(`"dive 4\"`, "\"\xff"), "line "},
		"deep":           {deep, "exceeded max depth"},
		"a bit too deep": {`{"halocline": 2, "extra": ` + strings.Repeat("[", 70) + strings.Repeat("]", 70) + "}", "values nest deeper than 64"},
	} {
		t.Run(name, func(t *testing.T) {
			s, err := Decode(strings.NewReader(tt.text))
			require.Error(t, err)
			assert.Nil(t, s)
			assert.Contains(t, err.Error(), tt.want)
			assert.True(t, strings.HasPrefix(err.Error(), "study: "), err)
		})
	}
}

func TestLoadNamesTheFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "demo.halocline")
	text := strings.Replace(encoded(t, transect(t)), `"fadeBefore": 6`, `"fadeBefore": -3`, 1)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	_, err := Load(path)
	assert.EqualError(t, err, "study: "+path+`: matte "skin": hue at frame 1 fadeBefore is -3, want 0 to 360`)
	_, err = Load(filepath.Join(t.TempDir(), "none.halocline"))
	assert.ErrorIs(t, err, fs.ErrNotExist)
}

type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

func TestLoadIsBounded(t *testing.T) {
	if testing.Short() {
		t.Skip("reads 256 MiB")
	}
	_, err := Decode(io.MultiReader(strings.NewReader("{"), endless{}))
	assert.EqualError(t, err, "study: file is larger than 256 MiB")
}

// What is written is counted as what is read.
func TestValuesAreCounted(t *testing.T) {
	for text, n := range map[string]int{`1`: 1, `[]`: 1, `{"a": [1, {"b": null}], "c": "d"}`: 6} {
		tree, err := newReader([]byte(text), n).value(0)
		require.NoError(t, err)
		assert.Equal(t, n, count(tree), text)
		_, err = newReader([]byte(text), n-1).value(0)
		assert.EqualError(t, err, "there are too many values", text)
	}
}

func TestSaveRefusesWhatLoadWould(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.halocline")
	s := transect(t)
	require.NoError(t, Save(path, s))
	before, err := os.ReadFile(path)
	require.NoError(t, err)
	s.Base.Exposure.Fix(math.NaN())
	err = Save(path, s)
	assert.EqualError(t, err, "study: not saved, base: exposure is NaN, want -20 to 20: "+path)
	after, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, before, after)
}

// A saved study finds its footage again after both moved together, and after
// it was saved elsewhere.
func TestFootageByRelativePath(t *testing.T) {
	ctx := context.Background()
	root := t.TempDir()
	footage := filepath.Join(root, "dive", "transect", "0001.png")
	require.NoError(t, os.MkdirAll(filepath.Dir(footage), 0o755))
	require.NoError(t, os.WriteFile(footage, []byte("sand and seagrass"), 0o644))
	found, err := Measure(ctx, footage)
	require.NoError(t, err)
	s := transect(t)
	s.Clip.Path, s.Clip.Footage = footage, found

	here := filepath.Join(root, "dive", "a.halocline")
	require.NoError(t, Save(here, s))
	text, err := os.ReadFile(here)
	require.NoError(t, err)
	assert.Contains(t, string(text), `"path": "transect/0001.png"`)
	elsewhere := filepath.Join(root, "other", "deep", "b.halocline")
	require.NoError(t, os.MkdirAll(filepath.Dir(elsewhere), 0o755))
	got, err := Load(here)
	require.NoError(t, err)
	assert.Equal(t, s, got)
	require.NoError(t, Save(elsewhere, got))
	got, err = Load(elsewhere)
	require.NoError(t, err)
	assert.Equal(t, footage, got.Clip.Path)
	require.NoError(t, got.Clip.CheckFootage(ctx))

	require.NoError(t, os.Rename(filepath.Join(root, "dive"), filepath.Join(root, "moved")))
	got, err = Load(filepath.Join(root, "moved", "a.halocline"))
	require.NoError(t, err)
	require.NoError(t, got.Clip.CheckFootage(ctx))

	got, err = Load(elsewhere)
	require.NoError(t, err)
	err = got.Clip.CheckFootage(ctx)
	var wrong *FootageError
	require.True(t, errors.As(err, &wrong))
	assert.ErrorIs(t, err, fs.ErrNotExist)
	assert.EqualError(t, err, "study: footage is missing, want a file of 17 bytes, sha256 "+found.SHA256[:12]+": "+footage)
}

func TestChangedFootage(t *testing.T) {
	ctx := context.Background()
	path := filepath.Join(t.TempDir(), "0001.png")
	require.NoError(t, os.WriteFile(path, []byte("abc"), 0o644))
	// FIPS 180-4: the digest of "abc".
	abc := Footage{3, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"}
	got, err := Measure(ctx, path)
	require.NoError(t, err)
	require.Equal(t, abc, got)
	c := Clip{Path: path, Footage: abc}
	require.NoError(t, c.CheckFootage(ctx))
	for _, changed := range []string{"abd", "abcd"} {
		require.NoError(t, os.WriteFile(path, []byte(changed), 0o644))
		var wrong *FootageError
		require.True(t, errors.As(c.CheckFootage(ctx), &wrong))
		assert.Equal(t, int64(len(changed)), wrong.Found.Size)
		assert.Contains(t, wrong.Error(), "has changed: found ")
		assert.Contains(t, wrong.Error(), "want 3 bytes, sha256 ba7816bf8f01")
	}
	c.Path = filepath.Dir(path)
	assert.ErrorContains(t, c.CheckFootage(ctx), "cannot be read (it is a folder)")
	ended, cancel := context.WithCancel(ctx)
	cancel()
	c.Path = path
	assert.ErrorIs(t, c.CheckFootage(ended), context.Canceled)
}

func TestShortestNumbers(t *testing.T) {
	for v, want := range map[float64]string{
		0: "0", 1: "1", 0.1: "0.1", -2.5: "-2.5", 1e-7: "1e-07", 1.0 / 3: "0.3333333333333333", 1e20: "100000000000000000000", 1e21: "1e+21",
	} {
		assert.Equal(t, want, shortest(v))
	}
}

// FuzzLoad: no bytes crash it, and what loads survives being saved.
func FuzzLoad(f *testing.F) {
	whole := encoded(f, transect(f))
	f.Add([]byte(whole))
	f.Add([]byte(strange(f)))
	f.Add([]byte(`{"halocline": 2, "clip": {"id": 1, "path": "a", "first": 0, "count": 1}}`))
	f.Add([]byte(`{"halocline": 2, "clip": {"id": 1, "path": "a", "first": 0, "count": 1}, "base": {"path": {"keys": [{"frame": 1, "value": 1e-400, "way": "step"}]}}, "mattes": [{"id": 2, "name": "a", "pick": {"model": "hsl", "hue": {"off": true, "value": {"from": -0, "to": 360}}}}], "extra": {"a": [1e999]}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Decode(strings.NewReader(string(data)))
		if err != nil {
			return
		}
		text := encoded(t, s)
		got := decoded(t, text)
		require.Equal(t, s, got)
		require.Equal(t, text, encoded(t, got))
		for _, frame := range []int{-5, 0, 1, 30, math.MaxInt32} {
			s.DigestFinished(frame)
		}
	})
}

func TestWaysInFiles(t *testing.T) {
	s := transect(t)
	s.Base.Gain[1].SetKey(3, 1.5, mask.Step)
	assert.Contains(t, encoded(t, s), `"gainGreen": {"keys": [{"frame": 3, "value": 1.5, "way": "step"}]}`)
}
