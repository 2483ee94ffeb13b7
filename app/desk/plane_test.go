package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/study"
	"halocline/selection"
)

// The dabs ask for a plane where one is wished for; one without dabs keeps everything.
func TestAPickByPlane(t *testing.T) {
	r := newRig(t, 1)
	r.UseModel(selection.PlaneModel)
	r.await("the plane", func() bool { return r.Matte().Pick.Model == selection.PlaneModel })
	assert.Equal(t, "Pick by plane", r.labels()[0])
	assert.Equal(t, 1.0, r.pick().Weight(selection.Point{selection.Across: -100}))

	r.dab(onTape, onGrass, onSand)
	p := r.pick()
	assert.False(t, p.Limits[selection.Across].Off, "the dabs made it")
	assert.True(t, r.Matte().Pick.Fitted)
	text, state := StepPick.Summary(r.Study(), r.Matte(), 1)
	assert.Regexp(t, `^plane from -?\d+\.\d$`, text)
	assert.Equal(t, Active, state)
	assert.Equal(t, selection.Across, Narrowest(p))

	s := r.suggested()
	assert.Equal(t, selection.PlaneModel, s.Pick.Model, "a suggestion stays with the plane")
	assert.Empty(t, s.Lines)
	assert.Empty(t, r.PlaneOffer(), "there is one")
}

// A plane that turns is another pick: it is put on every frame.
func TestAPlaneThatTurnsLosesItsKeys(t *testing.T) {
	m := &study.Matte{Settings: study.NewSettings(selection.PlaneModel)}
	across := &m.Pick.Limits[selection.Across]
	across.Off = false
	across.SetKey(1, selection.LevelRange(10, 1, 0), 0)
	across.SetKey(5, selection.LevelRange(20, 1, 0), 0)
	p := m.Pick.At(3)
	p.Limits[selection.Across].Range = selection.LevelRange(30, 1, 0)
	PutPick(m, p, 3)
	assert.Len(t, across.Keys, 3)
	p.Normal = [3]float64{0, 0.6, 0.8}
	PutPick(m, p, 3)
	assert.Empty(t, m.Pick.Limits[selection.Across].Keys)
	assert.Equal(t, p, m.Pick.At(1))
	assert.Equal(t, []string{"the plane turns"}, Differences(p, selection.Pick{Model: p.Model, Normal: [3]float64{1, 0, 0}, Limits: p.Limits}))
}

// What a pixel's card says of a plane.
func TestReasonsOfAPlane(t *testing.T) {
	p := selection.Pick{Model: selection.PlaneModel, Normal: [3]float64{1, 0, 0}}
	p.Limits[selection.Across].Range = selection.LevelRange(16, 4, 0)
	v := selection.Point{selection.Across: 10}
	assert.Equal(t, "plane 10.0 weight 0.00", ChannelsLine(p, v))
	assert.Equal(t, "sets plane 'level' to 11.9", ChangeLine(p, v, selection.ByLight, nil))
	in := selection.Point{selection.Across: 20}
	assert.Equal(t, "sets plane 'level' to 22.1", ChangeLine(p, in, selection.In, nil))
	assert.Equal(t, []string{"Plane instead of LCh"}, Differences(selection.Pick{Model: selection.LCh}, p))
}
