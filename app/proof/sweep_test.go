package proof

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

func TestValuesAreFinerNear0(t *testing.T) {
	soften, grow := Parameter{Label: "soften", Max: 500, Round: 0.1}, Parameter{Label: "grow", Min: -500, Max: 500, Round: 0.1}
	for _, c := range []struct {
		of       Parameter
		from, to float64
		n        int
		want     []float64
	}{
		{soften, 0, 12, 7, []float64{0, 0.3, 1.3, 3, 5.3, 8.3, 12}},
		{soften, 2, 6, 3, []float64{2, 3, 6}},
		{grow, -6, 6, 5, []float64{-6, -1.5, 0, 1.5, 6}},
		{grow, -8, 0, 3, []float64{-8, -2, 0}},
		{grow, -4, 9, 6, []float64{-4, -1, 0, 1, 4, 9}},
		{soften, 0, 0.1, 3, []float64{0, 0.025, 0.1}}, // rounded, two would be one
		{soften, 0.05, 0.45, 2, []float64{0.05, 0.45}},
	} {
		w := Sweep{Of: c.of, From: c.from, To: c.to, Count: c.n}
		require.NoError(t, w.Check())
		assert.InDeltaSlice(t, c.want, w.Values(), 1e-12, "%v", c)
	}
}

// Whatever the ends, values rise from the one to the other, and lie no closer
// together farther from 0, but for rounding.
func TestValuesRise(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	for range 2000 {
		p := Parameter{Min: -500, Max: 500, Round: []float64{0.1, 0.01, 1, 0.5}[rng.IntN(4)]}
		a, b := 40*rng.NormFloat64(), 40*rng.NormFloat64()
		w := Sweep{Of: p, From: min(a, b), To: max(a, b), Count: 2 + rng.IntN(20)}
		require.NoError(t, w.Check())
		v := w.Values()
		require.Len(t, v, w.Count)
		require.Equal(t, w.From, v[0])
		require.Equal(t, w.To, v[len(v)-1])
		for i := range v[1:] {
			require.Greater(t, v[i+1], v[i])
			if i > 0 && v[i-1] >= 0 {
				require.GreaterOrEqual(t, v[i+1]-v[i], v[i]-v[i-1]-2*p.Round)
			}
			if i > 0 && v[i+1] <= 0 {
				require.LessOrEqual(t, v[i+1]-v[i], v[i]-v[i-1]+2*p.Round)
			}
		}
	}
}

func TestSweepsOutOfBounds(t *testing.T) {
	s := settings(t)
	var edge []string
	for _, n := range slices.Backward(s.Edge.Settings()) {
		edge = append(edge, n.Flag())
	}
	for text, want := range map[string]string{
		"soften":            `proof: sweep is "soften", want NAME=FROM:TO:COUNT, such as soften=0:12:7`,
		"soften=0:12":       `proof: sweep is "soften=0:12", want NAME=FROM:TO:COUNT, such as soften=0:12:7`,
		"soften=0:x:7":      `proof: sweep "soften=0:x:7": found "x", want a number`,
		"soften=0:12:7.5":   `proof: sweep "soften=0:12:7.5": found "7.5", want a whole number of values`,
		"soften=0:12:1":     "proof: a sweep of soften over 1 values, want 2 to 64",
		"soften=0:12:65":    "proof: a sweep of soften over 65 values, want 2 to 64",
		"soften=12:0:7":     "proof: a sweep of soften from 12 to 0, want rising values from 0 to 500",
		"soften=-1:12:7":    "proof: a sweep of soften from -1 to 12, want rising values from 0 to 500",
		"soften=0:NaN:7":    "proof: a sweep of soften from 0 to NaN, want rising values from 0 to 500",
		"hue-after=0:400:7": "proof: a sweep of hue fade after from 0 to 400, want rising values from 0 to 360",
		"colour=0:1:3": `proof: found "colour" to sweep over, want one of ` + strings.Join(edge, ", ") +
			`, hue-before, hue-after, lightness-before, lightness-after, outer:swim=mer, inner:swim=mer`,
	} {
		_, err := ParseSweep(s, text)
		assert.EqualError(t, err, want)
	}
	w, err := ParseSweep(s, " Outer:swim=mer = 0 : 40 : 5 ")
	require.NoError(t, err)
	assert.Equal(t, "feather outward of swim=mer", w.Of.Label)
}

// settings have two channels on, keys in one range and in soften, and two masks of
// which one is off.
func settings(t *testing.T) *study.Settings {
	doc := study.New(study.Clip{Path: "x", First: 1, Count: 9})
	m := doc.AddMatte("skin", selection.HSL)
	hue, light := &m.Pick.Limits[selection.Hue], &m.Pick.Limits[selection.Light]
	hue.Off, light.Off = false, false
	hue.SetKey(1, selection.Range{From: 10, To: 40, Before: 3, After: 5}, mask.Straight)
	hue.SetKey(9, selection.Range{From: 20, To: 60, Before: 7, After: 9}, mask.Straight)
	light.Fix(selection.Range{From: 0.2, To: 0.8, Before: 0.1})
	m.Edge.Soften.SetKey(1, 2, mask.Straight)
	m.Edge.Soften.SetKey(9, 6, mask.Straight)
	square := []study.Point{{X: 1, Y: 1}, {X: 9, Y: 1}, {X: 9, Y: 9}}
	swimmer := doc.AddMask(m, "swim=mer", study.Keep, study.MaskKey{Frame: 1, Points: square, Inner: 2, Outer: 4, Opacity: 1})
	swimmer.SetKey(study.MaskKey{Frame: 9, Points: square, Inner: 4, Outer: 8, Opacity: 1})
	doc.AddMask(m, "rock", study.Drop, study.MaskKey{Frame: 1, Points: square, Opacity: 1}).Off = true
	require.NoError(t, doc.Validate())
	return &m.Settings
}

// A swept number is the same on every frame, everything else stays, and so do the settings
// it was made of.
func TestWithChangesOneNumber(t *testing.T) {
	s := settings(t)
	before := s.Clone()
	for _, p := range Parameters(s) {
		v := p.High - (p.High-p.Low)/3
		got := p.With(s, v)
		require.Equal(t, before, *s, p.Name)
		require.False(t, Same(got, s), p.Name)
		for _, frame := range []int{1, 5, 9} {
			require.InDelta(t, v, p.At(got, frame), 1e-12, p.Name)
		}
		for _, other := range Parameters(s) {
			if other.Name != p.Name {
				require.Equal(t, other.At(s, 5), other.At(got, 5), "%s by %s", other.Name, p.Name)
			}
		}
		require.GreaterOrEqual(t, p.Low, p.Min)
		require.LessOrEqual(t, p.High, p.Max)
		require.NoError(t, Usual(p, 1920).Check())
		require.NoError(t, Usual(p, 7680).Check())
		whole := 1 / p.Round
		require.InDelta(t, math.Round(whole), whole, 1e-9, p.Name)
	}
	hue := s.Pick.At(5).Limits[selection.Hue]
	p, err := ParameterNamed(s, "HUE-BEFORE")
	require.NoError(t, err)
	after := p.With(s, 12).Pick.At(5).Limits[selection.Hue]
	assert.Equal(t, hue.From, after.From, "the ends travel on")
	assert.Equal(t, hue.To, after.To)
	assert.Equal(t, 12., after.Before)
	assert.Equal(t, "12°", p.Value(12))
	soften, err := ParameterNamed(s, "soften")
	require.NoError(t, err)
	assert.Equal(t, 4., soften.At(s, 5))
	assert.True(t, soften.Keyed(s))
	assert.False(t, soften.Keyed(soften.With(s, 3)))
	assert.False(t, p.Keyed(s), "a range's keys stay")
	assert.Equal(t, "0.3 px", soften.Value(0.3))
	assert.Equal(t, 12., Usual(soften, 800).To)
	assert.Equal(t, 24., Usual(soften, 3840).To)
	assert.Equal(t, 40., Usual(p, 3840).To, "degrees stay")
	harden := edgeParameters(s)[3]
	assert.Empty(t, harden.Unit)
	assert.Equal(t, "0.25", harden.Value(0.25))
}

func TestItems(t *testing.T) {
	doc := study.New(study.Clip{Path: "x", First: 1, Count: 1})
	m := doc.AddMatte("skin", selection.HSL)
	require.Equal(t, []Item{{Name: "as it is now", Now: true, Settings: &m.Settings}}, Items(m, true, nil))
	doc.KeepProof(m, "plain").Note = "to begin with"
	m.Edge.Soften = study.Constant(3)
	names := func(items []Item) (out []string) {
		for _, it := range items {
			name := it.Name
			if it.Now {
				name += "!"
			}
			out = append(out, name)
		}
		return out
	}
	assert.Equal(t, []string{"as it is now!", "plain"}, names(Items(m, true, nil)))
	p, err := ParameterNamed(&m.Settings, "soften")
	require.NoError(t, err)
	assert.Equal(t, []string{"soften 0 px", "soften 3 px!", "soften 12 px"}, names(Items(m, true, &Sweep{Of: p, From: 0, To: 12, Count: 3})))
	assert.Equal(t, []string{"as it is now!", "soften 0 px", "soften 10 px"}, names(Items(m, false, &Sweep{Of: p, From: 0, To: 10, Count: 2})))
	m.Edge.Soften = study.Constant(0)
	all := Items(m, true, nil)
	assert.Equal(t, []string{"plain!"}, names(all))
	assert.Equal(t, m.Proofs[0].ID, all[0].Kept)
	assert.Equal(t, "to begin with", all[0].Note)

	m.Edge.Soften = study.Constant(7)
	all = Items(m, true, &Sweep{Of: p, From: 0, To: 12, Count: 2})
	assert.Equal(t, []string{"as it is now!", "soften 0 px", "soften 12 px"}, names(all), "a value that is kept stands once")
	assert.Equal(t, "plain", all[1].KeptAs)
	assert.True(t, all[1].Swept)
	assert.Equal(t, m.Proofs[0].ID, all[1].Kept)
}

func TestSpread(t *testing.T) {
	var frames []int
	for n := 11; n <= 82; n++ {
		frames = append(frames, n)
	}
	assert.Equal(t, []int{11, 34, 58, 82}, Spread(frames, 4))
	assert.Equal(t, []int{11, 12, 13}, Spread(frames[:3], 4))
	assert.Equal(t, []int{11}, Spread(frames, 1))
	assert.Empty(t, Spread(nil, 4))
}

// A value that is offered stands among the others, in place of the nearest between the
// ends, and is the least: whatever the others say.
func TestAnOfferedValueIsTheLeast(t *testing.T) {
	m := study.Matte{Settings: study.NewSettings(selection.LCh)}
	soften, err := ParameterNamed(&m.Settings, "soften")
	require.NoError(t, err)
	offered := 2.4
	w := Sweep{Of: soften, To: 12, Count: 7, Offered: &offered}
	assert.InDeltaSlice(t, []float64{0, 0.3, 1.3, 2.4, 5.3, 8.3, 12}, w.Values(), 1e-12)
	items := Items(&m, false, &w)
	all := make([]Figures, len(items))
	for i := range all {
		mismatch := math.Abs(items[i].Value - 5)
		all[i] = Figures{Judged: true, EdgeMismatch: &mismatch}
	}
	l, ok := LeastMisfit(items, all)
	require.True(t, ok)
	assert.Equal(t, Least{Item: 3, At: 2.4, Inside: true}, l)
	assert.Equal(t, "soften 2.4 px", items[l.Item].Name)
	for _, outside := range []float64{0, 12, 14} {
		w.Offered = &outside
		assert.InDeltaSlice(t, []float64{0, 0.3, 1.3, 3, 5.3, 8.3, 12}, w.Values(), 1e-12)
	}
}

// The feathers of all masks are one number: the widest that is there; set, each mask that
// is on gets it in every key.
func TestFeathersOfAllMasks(t *testing.T) {
	doc := study.New(study.Clip{Path: "x", First: 1, Count: 9})
	m := doc.AddMatte("skin", selection.LCh)
	for i, name := range []string{"head", "legs", "off"} {
		key := study.MaskKey{Frame: 1, Points: []mask.Point{{X: 1}, {X: 9}, {X: 9, Y: 9}}, Opacity: 1, Outer: float64(3 * (i + 1)), Inner: 1}
		t := doc.AddMask(m, name, study.Keep, key)
		key.Frame, key.Outer = 5, key.Outer+1
		t.SetKey(key)
	}
	m.Masks[2].Off = true
	p, err := ParameterNamed(&m.Settings, "Feathers")
	require.NoError(t, err)
	assert.Equal(t, "feathers", Parameters(&m.Settings)[len(Parameters(&m.Settings))-1].Name)
	assert.Equal(t, 6.0, p.At(&m.Settings, 1))
	assert.Equal(t, 7.0, p.At(&m.Settings, 5))
	got := p.With(&m.Settings, 12)
	for i, want := range []float64{12, 12, 9} {
		at := got.Masks[i].At(1)
		assert.Equal(t, want, at.Outer)
		assert.Equal(t, 1.0, at.Inner)
	}
	assert.Equal(t, 12.0, got.Masks[0].At(5).Outer)
	w, err := ParseSweep(&m.Settings, "feathers=0:20:5")
	require.NoError(t, err)
	assert.Len(t, w.Values(), 5)

	m.Masks = m.Masks[1:]
	_, err = ParameterNamed(&m.Settings, "feathers")
	assert.NoError(t, err, "of one mask too")
	for _, one := range Parameters(&m.Settings) {
		assert.NotEqual(t, "feathers", one.Name, "which has a number of its own")
	}
	m.Masks = m.Masks[1:]
	_, err = ParameterNamed(&m.Settings, "feathers")
	assert.Error(t, err, "it is off")
}
