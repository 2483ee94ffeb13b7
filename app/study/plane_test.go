package study

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
	"halocline/selection"
)

func TestPlaneNumbers(t *testing.T) {
	r := selection.LevelRange(12, 3, 4)
	for i, want := range []float64{12, 3, 4} {
		name := PlaneSpecs[i].Name
		assert.Equal(t, want, PlaneNumber(r, name), name)
		changed := WithPlaneNumber(r, name, 7)
		assert.Equal(t, 7.0, PlaneNumber(changed, name), name)
		assert.Equal(t, changed.From, changed.To, name)
		for _, other := range PlaneSpecs {
			if other.Name != name {
				assert.Equal(t, PlaneNumber(r, other.Name), PlaneNumber(changed, other.Name), "%s stays with another %s", other.Name, name)
			}
		}
	}
	assert.Panics(t, func() { PlaneNumber(r, "hue") })
	assert.Panics(t, func() { WithPlaneNumber(r, "hue", 1) })
}

// A plane's level and fades travel from key to key; its direction stays.
func TestPlaneOverTime(t *testing.T) {
	s := New(Clip{})
	m := s.AddMatte("skin", selection.PlaneModel)
	assert.Equal(t, 1.0, m.Pick.At(0).Weight(selection.Point{selection.Across: -100}), "a new one keeps everything")
	m.Pick.Normal = [3]float64{0.6, -0.8, 0}
	across := &m.Pick.Limits[selection.Across]
	across.Off = false
	across.SetKey(10, selection.LevelRange(10, 2, 0), mask.Straight)
	across.SetKey(20, selection.LevelRange(30, 4, 1), mask.Straight)
	at := m.Pick.At(15)
	assert.Equal(t, selection.LevelRange(20, 3, 0.5), at.Limits[selection.Across].Range)
	assert.Equal(t, m.Pick.Normal, at.Normal)
}

// What a file has comes back, and a plane that a file leaves out keeps everything.
func TestPlaneInAFile(t *testing.T) {
	const head = `{"halocline": 2, "clip": {"id": 1, "path": "a.png", "first": 0, "count": 1, "fps": [24, 1]},
		"mattes": [{"id": 2, "name": "skin", "pick": {"model": "plane"`
	const tail = `}}], "next": 3}`
	s := decoded(t, head+`, "plane": {"normal": [0, 0.6, 0.8], "value": {"level": -3, "fadeBefore": 2}}`+tail)
	p := s.Mattes[0].Pick
	assert.Equal(t, [3]float64{0, 0.6, 0.8}, p.Normal)
	assert.Equal(t, selection.LevelRange(-3, 2, 0), p.At(0).Limits[selection.Across].Range)
	assert.True(t, p.Limits[selection.Hue].Off && p.Limits[selection.Sat].Off)
	again := decoded(t, encoded(t, s))
	assert.Equal(t, p, again.Mattes[0].Pick)

	bare := decoded(t, head+tail)
	require.Equal(t, NewSettings(selection.PlaneModel).Pick, bare.Mattes[0].Pick)
	assert.Equal(t, bare.Mattes[0].Pick, decoded(t, encoded(t, bare)).Mattes[0].Pick)

	_, err := Decode(strings.NewReader(head + `, "plane": {"value": {"level": 1}}` + tail))
	assert.EqualError(t, err, `study: matte "skin": plane normal is [0 0 0], of length 0, want length 1`)
	_, err = Decode(strings.NewReader(head + `, "plane": {"normal": [1, 0, 0], "value": {"fadeBefore": 1}}` + tail))
	assert.EqualError(t, err, `study: mattes[0].pick.plane.value.level is missing`)
}

func TestValidatePlane(t *testing.T) {
	lab := [3]float64{0, 0, -1}
	for want, change := range map[string]func(p *Pick){
		"plane normal is [1 1 0], of length 1.414, want length 1": func(p *Pick) { p.Normal = [3]float64{1, 1, 0} },
		"plane normal is [NaN 0 0], of length NaN, want length 1": func(p *Pick) { p.Normal = [3]float64{math.NaN(), 0, 0} },
		"plane level is 171, want -170 to 170":                    func(p *Pick) { p.Limits[selection.Across].Fix(selection.LevelRange(171, 0, 0)) },
		"plane fadeBefore is -1, want 0 to 170":                   func(p *Pick) { p.Limits[selection.Across].Fix(selection.LevelRange(0, -1, 0)) },
		"plane fadeAfter is 200, want 0 to 170":                   func(p *Pick) { p.Limits[selection.Across].Fix(selection.LevelRange(0, 0, 200)) },
		"plane is from 1 to 2, want one level":                    func(p *Pick) { p.Limits[selection.Across].Fix(selection.Range{From: 1, To: 2}) },
		"hue is on, want it off in model plane":                   func(p *Pick) { p.Limits[selection.Hue].Off = false },
		"normal is [0 0 -1], want none in model lch":              func(p *Pick) { p.Model = selection.LCh },
	} {
		s := New(Clip{ID: 1, Path: "/a.png", Count: 1, Rate: [2]int{24, 1}})
		m := s.AddMatte("skin", selection.PlaneModel)
		m.Pick.Normal = lab
		require.NoError(t, s.check())
		change(&m.Pick)
		assert.EqualError(t, s.check(), `matte "skin": `+want)
	}
}
