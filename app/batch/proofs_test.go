package batch

import (
	"encoding/csv"
	"image/color"
	"image/png"
	"io"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/export"
	"halocline/app/proof"
	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
)

func TestProofsOfASweep(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--slope", "1.1,1,0.9")
	before, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	sheet, table := b.at("sheet.png"), b.at("tables/figures.csv")
	got := result[proofsReport](t, "proofs", fit.Study, "--matte", "Skin", "--sweep", "soften=0:6:4", "--view", "trial", "--sheet", sheet, "--csv", table)
	after, err := os.ReadFile(fit.Study)
	require.NoError(t, err)
	require.Equal(t, before, after, "nothing in the study changes")

	require.Equal(t, "skin", got.Matte)
	require.Equal(t, []int{7}, got.Frames)
	require.Equal(t, []float64{0, 0.2, 2.7, 6}, got.Sweep.Values, "the offered value in place of 0.7")
	require.NotNil(t, got.Sweep.Least)
	assert.Equal(t, "soften 0.2 px", got.Sweep.Least.Proof, "the beach's edges are hard")
	assert.Equal(t, 0.2, got.Sweep.Least.At)
	assert.False(t, got.Sweep.Least.AtAnEnd)
	require.Len(t, got.Proofs, 4)
	assert.True(t, got.Proofs[0].Now)
	for i, p := range got.Proofs {
		assert.Equal(t, got.Sweep.Values[i], *p.Value)
		assert.Nil(t, p.Flicker)
		require.NotNil(t, p.Bleed)
		assert.InDelta(t, 1, *p.Separation, 1e-3)
		assert.InDelta(t, 120*30./(beachW*beachH), *p.Area, 0.03)
		if i > 0 {
			assert.GreaterOrEqual(t, *p.Bleed, *got.Proofs[i-1].Bleed)
			if *p.Value > 0.5 { // less is not seen in whole pixels
				assert.Greater(t, *p.EdgeWidth, *got.Proofs[i-1].EdgeWidth)
			}
		}
	}

	f, err := os.Open(table)
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 5)
	assert.Equal(t, "soften (px)", lines[0][4])
	assert.Equal(t, []string{"soften 0.2 px", "", "", "no", "0.2", "1"}, lines[2][:6])
	p, err := os.Open(sheet)
	require.NoError(t, err)
	defer p.Close()
	picture, err := png.Decode(p)
	require.NoError(t, err)
	assert.Greater(t, picture.Bounds().Dx(), 1400, "three pictures of 480")
	grey := color.RGBAModel.Convert(picture.At(2, 2)).(color.RGBA)
	assert.Equal(t, color.RGBA{0x33, 0x33, 0x33, 0xff}, grey)
}

// Where the picture's edge is a soft one, the softness that the verb tells of is the one that
// the window offers, and it is one of the values.
func TestTheVerbTellsTheOfferedSoftness(t *testing.T) {
	b := newBeach(t)
	m := colour.NewImage(beachW, beachH)
	skin, sand := colour.LCh{L: 60, C: 28, H: 55}.Lab().RGB(), colour.LCh{L: 70, C: 14, H: 95}.Lab().RGB()
	for y := range beachH {
		for x := range beachW {
			in := math.Erfc(math.Hypot(float64(x)-80, float64(y)-60)-40) / 2 // a disc whose edge is a Gaussian's of 0.7 px
			mix := func(a, b float64) float32 { return float32(a*in + b*(1-in)) }
			m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = mix(skin.R, sand.R), mix(skin.G, sand.G), mix(skin.B, sand.B)
		}
	}
	require.NoError(t, export.WriteFile(b.picture, func(w io.Writer) error { return export.EncodeRGB(w, m, 16) }))
	b.keep = discMask(t, b.keep, [][2]int{{60, 60}, {90, 50}, {80, 80}})
	b.drop = discMask(t, b.drop, [][2]int{{10, 10}, {150, 110}, {150, 10}})
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[trialResult](t, "trial", fit.Study, "--matte", "skin", "--slope", "1.1,1,0.9")
	got := result[proofsReport](t, "proofs", fit.Study, "--matte", "skin", "--sweep", "soften=0:3:5")

	w, err := work.OpenStudy(t.Context(), fit.Study)
	require.NoError(t, err)
	defer w.Close()
	offered, err := proof.OfferedSoftness(t.Context(), w.Renderer, w.Study, &w.Study.Mattes[0].Settings, w.Clip.First())
	require.NoError(t, err)
	require.NotNil(t, offered)
	require.Greater(t, *offered, 0.2)
	require.NotNil(t, got.Sweep.Least)
	assert.Equal(t, *offered, got.Sweep.Least.At)
	assert.Equal(t, *offered, got.Sweep.Least.Value)
	assert.Contains(t, got.Sweep.Values, *offered)
}

func TestProofsNeverReplaceAStrangersFile(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	for _, flag := range []string{"--sheet", "--csv"} {
		path := b.at("mine" + flag)
		require.NoError(t, os.WriteFile(path, []byte("mine"), 0o666))
		args := []string{"proofs", fit.Study, "--matte", "skin", "--sweep", "grow=-2:2:3", flag, path}
		status, _, stderr := run(t, args...)
		require.Equal(t, failed, status)
		require.Contains(t, stderr, path+" exists: give another name, or --overwrite")
		mine, err := os.ReadFile(path)
		require.NoError(t, err)
		require.Equal(t, "mine", string(mine))
		result[proofsReport](t, append(args, "--overwrite")...)
		mine, err = os.ReadFile(path)
		require.NoError(t, err)
		require.NotEqual(t, "mine", string(mine))
	}
}

// The values are kept once, and are there to be looked at over a few frames, sorted.
func TestProofsAreKept(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 1, 2, 3), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	status, _, stderr := run(t, "proofs", fit.Study, "--matte", "skin")
	require.Equal(t, failed, status)
	require.Contains(t, stderr, `matte "skin" has no proofs yet`)
	for range 2 {
		result[proofsReport](t, "proofs", fit.Study, "--matte", "skin", "--sweep", "soften=0:3:3", "--keep")
	}
	s, err := study.Load(fit.Study)
	require.NoError(t, err)
	require.Len(t, s.Mattes[0].Proofs, 3)
	require.Equal(t, 0.8, s.Mattes[0].Proofs[1].Edge.Soften.Value)
	require.Zero(t, s.Mattes[0].Edge.Soften.Value, "the matte stays as it is")

	got := result[proofsReport](t, "proofs", fit.Study, "--matte", "skin", "--frames", "2-3", "--sort", "edge width")
	require.Nil(t, got.Sweep)
	require.Equal(t, []int{2, 3}, got.Frames)
	require.Len(t, got.Proofs, 3)
	require.True(t, got.Proofs[0].Now && got.Proofs[0].KeptAs != "")
	require.Equal(t, []string{"soften 0 px", "soften 0.8 px", "soften 3 px"}, []string{got.Proofs[0].Name, got.Proofs[1].Name, got.Proofs[2].Name})
	require.Equal(t, 2, got.Proofs[0].Frames)
	require.NotNil(t, got.Proofs[0].Flicker)
	require.Nil(t, got.Proofs[0].Rim, "there is no trial")
	both := result[proofsReport](t, "proofs", fit.Study, "--matte", "skin", "--sweep", "grow=0:1:2")
	require.Len(t, both.Proofs, 4, "growing by 0 is what is kept as soften 0 px")
	alone := result[proofsReport](t, "proofs", fit.Study, "--matte", "skin", "--sweep", "grow=0:1:2", "--without-kept")
	require.Len(t, alone.Proofs, 2)
}

func TestProofsMisused(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	for _, c := range []struct {
		args   string
		status int
		want   string
	}{
		{"", misused, "found no --matte NAME"},
		{"--matte skin --keep", misused, "--keep has no meaning without --sweep"},
		{"--matte skin --without-kept", misused, "--without-kept has no meaning without --sweep"},
		{"--matte skin --sweep soften=0:12", misused, `--sweep: sweep is "soften=0:12", want NAME=FROM:TO:COUNT`},
		{"--matte skin --sweep soften=0:12:7 --view frame", misused, `--view: found "frame", want one of matte, hatch, cutout, trial`},
		{"--matte skin --sweep soften=0:12:7 --sort beauty", misused, `--sort: found "beauty" to sort by`},
		{"--matte skin --sweep soften=0:12:7 --region 1,2,3", misused, `--region is "1,2,3", want X,Y,W,H in pixels`},
		{"--matte skin --sweep soften=0:12:7 --region 1,2,0,4", misused, `--region is "1,2,0,4", want X,Y,W,H in whole pixels`},
		{"--matte skin --sweep soften=0:12:7 --sheet a.x --csv ./a.x", misused, "--sheet and --csv are both"},
		{"--matte skin --sweep soften=0:12:7 --frames 9", failed, "lacks 9 of --frames"},
		{"--matte sand --sweep soften=0:12:7", failed, `has no matte "sand", want one of "skin"`},
	} {
		status, stdout, stderr := run(t, append([]string{"proofs", fit.Study}, strings.Fields(c.args)...)...)
		assert.Equal(t, c.status, status, c.args)
		assert.Contains(t, stderr, c.want)
		assert.Empty(t, stdout)
	}
	status, _, stderr := run(t, "proofs", fit.Study, "--matte", "skin", "--sweep", "soften=0:2:2", "--sheet", b.at("s.png"), "--region", "1000,0,10,10")
	assert.Equal(t, failed, status)
	assert.Contains(t, stderr, "the part that is shown lies outside the frame")
	_, err := os.Lstat(b.at("s.png"))
	assert.ErrorIs(t, err, os.ErrNotExist)
}
