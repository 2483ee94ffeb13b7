package batch

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
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

// run calls a verb and returns what it printed.
func run(t *testing.T, args ...string) (status int, stdout, stderr string) {
	var out, errs bytes.Buffer
	status = Run(t.Context(), args, &out, &errs)
	return status, out.String(), errs.String()
}

// result calls a verb that must succeed and reads its JSON.
func result[T any](t *testing.T, args ...string) (v T) {
	status, stdout, stderr := run(t, args...)
	require.Zero(t, status, "%v: %s", args, stderr)
	require.NoError(t, json.Unmarshal([]byte(stdout), &v), stdout)
	return v
}

func writePNG(t *testing.T, path string, encode func(io.Writer) error) string {
	require.NoError(t, export.WriteFile(path, encode))
	return path
}

// A beach is a small made scene: warm skin-coloured squares on paler sand under
// blue-green water, with noise, and masks of three discs each.
type beach struct {
	folder, picture, keep, drop, truth string
}

const beachW, beachH = 160, 120

func newBeach(t *testing.T) beach {
	b := beach{folder: t.TempDir()}
	rng := rand.New(rand.NewPCG(1, 2))
	m := colour.NewImage(beachW, beachH)
	truth := colour.NewPlane(beachW, beachH)
	for y := range beachH {
		for x := range beachW {
			c := colour.LCh{L: 70, C: 14, H: 95} // sand
			switch {
			case y < 40:
				c = colour.LCh{L: 55, C: 22, H: 210} // water
			case x > 20 && x < 140 && y > 60 && y < 90:
				c = colour.LCh{L: 60, C: 28, H: 55} // skin
				truth.Row(y)[x] = 1
			}
			v := c.Lab().RGB()
			n := func() float32 { return float32(0.01 * rng.NormFloat64()) }
			m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = float32(v.R)+n(), float32(v.G)+n(), float32(v.B)+n()
		}
	}
	at := func(name string) string { return filepath.Join(b.folder, name) }
	b.picture = writePNG(t, at("dive.0007.png"), func(w io.Writer) error { return export.EncodeRGB(w, m, 8) })
	b.truth = writePNG(t, at("truth.png"), func(w io.Writer) error { return export.EncodeGrey(w, truth, 16) })
	b.keep = discMask(t, at("keep.png"), [][2]int{{40, 75}, {80, 72}, {120, 78}})
	b.drop = discMask(t, at("drop.png"), [][2]int{{30, 105}, {110, 106}, {70, 20}})
	return b
}

func discMask(t *testing.T, path string, at [][2]int) string {
	p := colour.NewPlane(beachW, beachH)
	for y := range beachH {
		for x := range beachW {
			for _, c := range at {
				if math.Hypot(float64(x-c[0]), float64(y-c[1])) <= 6 {
					p.Row(y)[x] = 1
				}
			}
		}
	}
	return writePNG(t, path, func(w io.Writer) error { return export.EncodeGrey(w, p, 8) })
}

func (b beach) at(name string) string { return filepath.Join(b.folder, name) }

func TestTheWholeJob(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	require.Equal(t, b.at("dive.0007.halocline"), fit.Study)
	require.Equal(t, 6, fit.Dabs)
	require.NotNil(t, fit.Separation)
	require.InDelta(t, 1, fit.Separation.Pick.Could.Value, 0.01)

	exported := result[exportReport](t, "export", fit.Study, "--out", b.at("mattes"))
	require.Len(t, exported.Files, 1)
	require.Equal(t, "skin/dive-skin.000007.png", exported.Files[0].Name)
	matte := filepath.Join(b.at("mattes"), exported.Files[0].Name)
	scores := result[map[string]any](t, "score", matte, "--truth", b.truth)
	require.Greater(t, scores["iou"], 0.95)

	verified := result[verifyReport](t, "verify", b.at("mattes"))
	require.Equal(t, 1, verified.Good)

	base := result[baseResult](t, "base", fit.Study, "--exposure", "0.5", "--grey", "80,110,6")
	require.Less(t, *base.Spread, 0.01)
	require.Len(t, base.Notes, 1, "the matte was made before the base")

	told := result[baseResult](t, "base", fit.Study)
	require.Equal(t, base.Base, told.Base)
	require.Empty(t, told.Notes)

	again := result[fitReport](t, "fit", "--keep", b.keep, "--drop", b.drop, "--name", "skin", fit.Study)
	require.Equal(t, fit.Study, again.Study)
	require.NotEqual(t, "skin", again.Matte, "names stay unique")
	replaced := result[fitReport](t, "fit", fit.Study, "--keep", b.keep, "--drop", b.drop, "--name", "skin", "--replace")
	require.Equal(t, "skin", replaced.Matte)
	require.Equal(t, again.Pick, replaced.Pick)

	info := result[studyInfo](t, "info", fit.Study)
	require.Len(t, info.Mattes, 2)
	require.Equal(t, "yes", info.Found)
	sep := result[separationReport](t, "separation", fit.Study, "--keep", b.keep, "--drop", b.drop, "--matte", "skin")
	require.NotEmpty(t, sep.Sentence)
}

func TestExportNeverReplacesAStrangersFile(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	out := b.at("mattes")
	mine := filepath.Join(out, "skin", "dive-skin.000007.png")
	require.NoError(t, os.MkdirAll(filepath.Dir(mine), 0o777))
	require.NoError(t, os.WriteFile(mine, []byte("mine"), 0o666))
	status, _, stderr := run(t, "export", fit.Study, "--out", out)
	require.Equal(t, failed, status)
	require.Contains(t, stderr, mine)
	text, err := os.ReadFile(mine)
	require.NoError(t, err)
	require.Equal(t, "mine", string(text))
	require.NoFileExists(t, filepath.Join(out, export.ManifestName))

	result[exportReport](t, "export", fit.Study, "--out", out, "--overwrite")
	result[exportReport](t, "export", fit.Study, "--out", out) // now its own
	require.NoError(t, os.Truncate(mine, 20))
	status, stdout, stderr := run(t, "verify", out)
	require.Equal(t, failed, status)
	require.Contains(t, stdout, "20 bytes")
	require.Contains(t, stderr, "1 of 3 files")
}

func TestRetouchedMattesAreNotReplaced(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	out := b.at("mattes")
	exported := result[exportReport](t, "export", fit.Study, "--out", out)
	matte := filepath.Join(out, filepath.FromSlash(exported.Files[0].Name))
	require.NoError(t, os.WriteFile(matte, []byte("retouched"), 0o666))
	status, _, stderr := run(t, "export", fit.Study, "--out", out)
	require.Equal(t, failed, status)
	require.Contains(t, stderr, matte)
	require.Contains(t, stderr, "changed since")
	result[exportReport](t, "export", fit.Study, "--out", out, "--overwrite")
	require.Equal(t, 1, result[verifyReport](t, "verify", out).Good)
}

// A pick whose smooth noise somebody switched off stays so when it is fitted again, from
// the picture as it sees it.
func TestFitAgainKeepsSmoothNoiseOff(t *testing.T) {
	b := newBeach(t)
	sample := []string{"--keep", b.keep, "--drop", b.drop, "--name", "skin"}
	again := func(path string) fitReport {
		return result[fitReport](t, append([]string{"fit", path, "--replace"}, sample...)...)
	}
	first := result[fitReport](t, append([]string{"fit", b.picture}, sample...)...)
	require.Equal(t, first.Pick, again(first.Study).Pick)
	s, err := study.Load(first.Study)
	require.NoError(t, err)
	require.True(t, s.MatteNamed("skin").Pick.Smooth)
	s.MatteNamed("skin").Pick.Smooth = false
	require.NoError(t, study.Save(first.Study, s))

	rough := again(first.Study)
	s, err = study.Load(first.Study)
	require.NoError(t, err)
	require.False(t, s.MatteNamed("skin").Pick.Smooth)
	require.NotEqual(t, first.Pick, rough.Pick, "the noise is in it")
	smooth := result[separationReport](t, "separation", b.picture, "--keep", b.keep, "--drop", b.drop)
	loud := result[separationReport](t, "separation", first.Study, "--keep", b.keep, "--drop", b.drop, "--matte", "skin")
	require.NotEqual(t, smooth.Channels["chroma"].Could, loud.Channels["chroma"].Could, "which no pick changes")
}

func TestWrongCallsAndBadInput(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop)
	study, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	text := b.at("notes.txt")
	require.NoError(t, os.WriteFile(text, []byte("not a picture"), 0o666))
	small := discMaskOf(t, b.at("small.png"), 10, 10)
	black := discMask(t, b.at("black.png"), nil)
	spoilt := func(name, old, new string) string {
		require.Contains(t, string(study), old)
		path := b.at(name)
		require.NoError(t, os.WriteFile(path, bytes.Replace(study, []byte(old), []byte(new), 1), 0o666))
		return path
	}
	empty := b.at("empty")
	require.NoError(t, os.Mkdir(empty, 0o777))
	b.sequence(t, 1, 2, 4)
	writePNG(t, b.at("two/a.1.png"), func(w io.Writer) error { return copyOf(w, b.picture) })
	writePNG(t, b.at("two/b.1.png"), func(w io.Writer) error { return copyOf(w, b.picture) })
	for _, c := range []struct {
		name   string
		args   string // %s: the study
		status int
		says   []string
	}{
		{"no verb", "", misused, nil},
		{"unknown verb", "paint", misused, []string{`"paint"`, "fit"}},
		{"unknown flag", "fit X --colour red", misused, []string{"-colour"}},
		{"no argument", "fit --keep a.png", misused, []string{"0 arguments"}},
		{"no keep", "fit " + b.picture, misused, []string{"--keep"}},
		{"bad model", "fit " + b.picture + " --keep a.png --model rgb", misused, []string{`"rgb"`, "lch"}},
		{"bad disc", "base %s --grey 1,2", misused, []string{"X,Y,R"}},
		{"disc not a number", "base %s --grey 1,NaN,2", misused, []string{"NaN"}},
		{"disc outside", "base %s --grey 900,900,5", failed, []string{"outside", "160 x 120"}},
		{"bad water", "base %s --type swamp", failed, []string{`"swamp"`}},
		{"infinite exposure", "base %s --exposure Inf", misused, []string{"exposure"}},
		{"no truth", "score " + b.truth, misused, []string{"--truth"}},
		{"unknown of no 8-bit value", "score " + b.truth + " --truth " + b.truth + " --unknown 300", misused, []string{"300"}},
		{"score of two sizes", "score " + small + " --truth " + b.truth, failed, []string{"10 x 10", "160 x 120"}},
		{"missing picture", "fit " + b.at("gone.png") + " --keep " + b.keep, failed, []string{"gone.png"}},
		{"text as picture", "fit " + text + " --keep " + b.keep, failed, []string{"notes.txt"}},
		{"folder without pictures", "info " + empty, failed, []string{empty, "numbered pictures"}},
		{"folder of two sequences", "info " + b.at("two"), failed, []string{b.at("two"), "a.1.png, b.1.png", "a file of the one that is meant, with --sequence"}},
		{"the same for a verb that samples", "separation " + b.at("two") + " --keep a --drop b", failed, []string{"a file of the one that is meant"}},
		{"picture without a number as a sequence", "info " + b.truth + " --sequence", failed, []string{"truth.png", "shot.0001.png"}},
		{"study as a sequence", "info %s --sequence", misused, []string{"--sequence"}},
		{"no frames", "export %s --out " + b.at("o") + " --frames ,", misused, []string{`--frames ","`}},
		{"frames backwards", "export %s --out " + b.at("o") + " --frames 9-7", misused, []string{"9-7 runs backwards, want 7-9"}},
		{"frames of no still", "export %s --out " + b.at("o") + " --frames 5-8,11", failed, []string{"dive.0007.png lacks 5-6, 8, 11 of --frames, want some of 7"}},
		{"mask of another size", "fit " + b.picture + " --keep " + small, failed, []string{"small.png", "10 x 10", "160 x 120"}},
		{"colour as mask", "fit " + b.picture + " --keep " + b.picture, failed, []string{"dive.0007.png"}},
		{"empty mask", "fit " + b.picture + " --keep " + black, failed, []string{"black.png", "white"}},
		{"empty drop mask", "fit %s --keep " + b.keep + " --drop " + black, failed, []string{"black.png", "white", "drop"}},
		{"study exists", "fit " + b.picture + " --keep " + b.keep, failed, []string{"exists", "dive.0007.halocline"}},
		{"study of a wrong name", "fit " + b.picture + " --keep " + b.keep + " --study " + b.at("x.json"), misused, []string{"x.json", ".halocline"}},
		{"unknown matte", "export %s --out " + b.at("o") + " --matte hair", failed, []string{`"hair"`, `"matte"`}},
		{"bad depth", "export %s --out " + b.at("o") + " --depth 12", misused, []string{"12"}},
		{"bad kind", "export %s --out " + b.at("o") + " --kind alpha", misused, []string{`"alpha"`}},
		{"bad pattern", "export %s --out " + b.at("o") + " --pattern {shot}.png", misused, []string{"{shot}"}},
		{"no out", "export %s", misused, []string{"--out"}},
		{"verify without a manifest", "verify " + b.folder, failed, []string{"manifest.jsonl"}},
		{"NaN in a study", "info " + spoilt("nan.halocline", `"radius": `, `"radius": NaN, "x": `), failed, []string{"nan.halocline"}},
		{"huge number in a study", "info " + spoilt("huge.halocline", `"radius": `, `"radius": 1e400, "x": `), failed, []string{"huge.halocline"}},
		{"study of another version", "info " + spoilt("other.halocline", `"halocline": 2`, `"halocline": 3`), failed, []string{"other.halocline", "version 3, want version 2"}},
		{"missing footage", "export " + spoilt("lost.halocline", "dive.0007.png", "dive.0008.png") + " --out " + b.at("o"), failed, []string{"dive.0008.png", "missing"}},
		{"sample too small", "sample " + b.at("s") + " --size 10x10", failed, []string{"10 x 10"}},
		{"sample of no frames", "sample " + b.at("s") + " --frames 0", misused, []string{"1 to 72"}},
		{"sample of too many frames", "sample " + b.at("s") + " --frames 73", misused, []string{"1 to 72"}},
		{"sample of no size", "sample " + b.at("s") + " --size big", misused, []string{"WxH"}},
		{"sample into a full folder", "sample " + b.folder, failed, []string{"other files"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			args := c.args
			if strings.Contains(args, "%s") {
				args = fmt.Sprintf(args, fit.Study)
			}
			status, stdout, stderr := run(t, strings.Fields(args)...)
			require.Equal(t, c.status, status, stderr)
			require.Empty(t, stdout)
			for _, s := range c.says {
				require.Contains(t, stderr, s)
			}
			if c.says != nil {
				require.Equal(t, 1, strings.Count(stderr, "\n"), "one line: %s", stderr)
			}
			after, err := os.ReadFile(fit.Study)
			require.NoError(t, err)
			require.Equal(t, study, after, "the study is as it was")
		})
	}
}

func discMaskOf(t *testing.T, path string, w, h int) string {
	p := colour.NewPlane(w, h)
	p.Pix[0] = 1
	return writePNG(t, path, func(out io.Writer) error { return export.EncodeGrey(out, p, 8) })
}

func TestHelpNamesEveryVerb(t *testing.T) {
	status, help, _ := run(t, "--help")
	require.Zero(t, status)
	for _, v := range verbs() {
		require.Contains(t, help, v.name)
		status, own, _ := run(t, v.name, "--help")
		require.Zero(t, status)
		require.Contains(t, strings.Join(strings.Fields(own), " "), v.usage)
		for _, line := range strings.Split(own, "\n") {
			if !strings.HasPrefix(line, "  halocline-batch") { // examples stay whole, to be copied
				require.LessOrEqual(t, len(line), helpWidth)
			}
		}
		require.Contains(t, own, "halocline-batch "+v.name)
	}
}

func TestWorkStopsWithItsContext(t *testing.T) {
	b := newBeach(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var out, errs bytes.Buffer
	status := Run(ctx, []string{"fit", b.picture, "--keep", b.keep}, &out, &errs)
	require.Equal(t, failed, status)
	require.NoFileExists(t, b.at("dive.0007.halocline"))
}

func FuzzRun(f *testing.F) {
	f.Add("fit a.png --keep b.png --drop c.png --model hsl")
	f.Add("base x.halocline --grey 1,2,3 --water 4,5,6 --type IB --path 2")
	f.Add("export x.halocline --out y --depth 16 --kind matte --pattern {clip}.png")
	f.Add("score a --truth b --unknown 128")
	f.Add("sample --size 0x0 \x00")
	f.Add("demo --help")
	f.Add("demo help") // into a folder of that name
	f.Add("sample -- --help --frames=72")
	folder := f.TempDir()
	f.Fuzz(func(t *testing.T, line string) {
		args := strings.Fields(line)
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		if len(args) > 0 && (args[0] == "sample" || args[0] == "demo") {
			cancel() // they draw nothing then, and their flags are read as ever
		}
		t.Chdir(folder)
		var out, errs bytes.Buffer
		status := Run(ctx, args, &out, &errs)
		if status != succeeded && status != failed && status != misused {
			t.Fatalf("%q: status %d", line, status)
		}
		if status != succeeded && errs.Len() == 0 {
			t.Fatalf("%q: failed without a word", line)
		}
		for _, name := range []string{"help", "--help", demoFolder} {
			if _, err := os.Lstat(name); err == nil {
				t.Fatalf("%q: a scene was drawn into %s", line, name)
			}
		}
	})
}

func TestASceneIsNotWrittenOverAChangedOne(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "scene")
	first := result[sampleReport](t, "sample", folder, "--size", "320x180")
	require.Zero(t, first.Frames, "a still has none to count")
	require.Len(t, first.Written, 1+3*len(first.Mattes))
	result[sampleReport](t, "sample", folder, "--size", "320x180") // nobody has touched it
	result[baseResult](t, "base", first.Study, "--exposure", "0.3")
	before, err := os.ReadFile(first.Study)
	require.NoError(t, err)
	status, _, stderr := run(t, "sample", folder, "--size", "320x180")
	require.Equal(t, failed, status)
	require.Contains(t, stderr, "changed since")
	after, err := os.ReadFile(first.Study)
	require.NoError(t, err)
	require.Equal(t, before, after)
}
