package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// framesOf are the frames of a value's keys.
func (r *rig) framesOf(id ValueID) []int { return FramesIn(ValueOf(r.Study(), r.Matte(), id).Keys()) }

// pickFor gives the matte a pick that has a value: the range across a plane is one by plane's.
func (r *rig) pickFor(id ValueID) {
	r.t.Helper()
	if id.Name == PlaneValue {
		require.True(r.t, r.Edit("Pick by plane", func(_ *study.Study, m *study.Matte) error {
			m.Pick = study.NewSettings(selection.PlaneModel).Pick
			return nil
		}))
	}
}

// value does something to a value, as an edit.
func (r *rig) value(id ValueID, do func(v OverTime)) {
	r.t.Helper()
	require.True(r.t, r.Edit(id.Label(), func(s *study.Study, m *study.Matte) error {
		do(ValueOf(s, m, id))
		return nil
	}))
}

// Whatever kind a value is of, its keys move, are copied and led on alike.
func TestKeysOfAllValues(t *testing.T) {
	r := newRig(t, 2)
	require.Len(t, ValueIDs(), 3+1+3+3+1+7+4)
	for _, id := range ValueIDs() {
		var got [][]TimedKey
		r.pickFor(id)
		r.value(id, func(v OverTime) {
			note := func() { got = append(got, v.Keys()) }
			v.Add(5)
			v.Add(15)
			v.SetWay(5, mask.Curved)
			note()
			v.Move(15, 20)
			v.Copy(5, 9)
			note()
			v.Move(7, 8) // no key there
			v.Copy(7, 8)
			v.Remove(9)
			v.Remove(20)
			note()
			v.Add(5) // there is one
			note()
			v.Fix(5)
			note()
		})
		assert.Equal(t, [][]TimedKey{
			{{5, mask.Curved}, {15, mask.Straight}},
			{{5, mask.Curved}, {9, mask.Curved}, {20, mask.Straight}},
			{{5, mask.Curved}},
			{{5, mask.Curved}},
			nil,
		}, got, id)
	}
}

func TestValuesHaveNamesOfTheirOwn(t *testing.T) {
	seen, labels := map[ValueID]bool{}, map[string]bool{}
	for _, id := range ValueIDs() {
		assert.False(t, seen[id], id)
		seen[id], labels[id.Label()] = true, true
		assert.NotEqual(t, id.Name, id.Label())
	}
	for _, want := range []string{"Grey", "Open water", "Path", "Hue", "Soften", "Harden about", "Slope"} {
		assert.True(t, labels[want], want)
	}
}

// Of a value that is keyed nothing is changed by a key of what it is there.
func TestAKeyChangesNoValue(t *testing.T) {
	r := newRig(t, 2)
	r.set(func(m *study.Matte) {
		m.Edge.Soften.SetKey(2, 1, mask.Straight)
		m.Edge.Soften.SetKey(12, 3, mask.Straight)
		m.Pick.Limits[selection.Hue].SetKey(2, selection.Range{From: 350, To: 370}, mask.Straight)
		m.Pick.Limits[selection.Hue].SetKey(12, selection.Range{From: 10, To: 40}, mask.Straight)
	})
	soften := func(f int) float64 { return r.Matte().Edge.Soften.At(f) }
	for f := range 15 {
		before, hue := soften(f), r.Matte().Pick.Limits[selection.Hue].HueAt(f)
		r.AddKey(ValuesLane, f)
		assert.Equal(t, before, soften(f), f)
		now := r.Matte().Pick.Limits[selection.Hue].HueAt(f)
		assert.InDelta(t, Turned(hue.From), Turned(now.From), 1e-9, f)
		assert.InDelta(t, hue.Span(), now.Span(), 1e-9, f)
	}
	assert.Len(t, r.framesOf(ValueID{StepEdge, "soften"}), 15)
	assert.InDelta(t, 2, soften(7), 1e-9)
}

// The last key to go leaves its value as the constant.
func TestTheLastKeyToGoStays(t *testing.T) {
	r := newRig(t, 2)
	soften := ValueID{StepEdge, "soften"}
	r.set(func(m *study.Matte) {
		m.Edge.Soften.SetKey(1, 1, mask.Straight)
		m.Edge.Soften.SetKey(2, 5, mask.Straight)
	})
	r.value(soften, func(v OverTime) { v.Remove(1) })
	r.value(soften, func(v OverTime) { v.Remove(2) })
	assert.Equal(t, study.Constant(5), r.Matte().Edge.Soften)
	assert.Nil(t, r.KeyedValues())
}

// The channels of a value that is keyed as one may have got keys apart: all are shown
// and moved, each once.
func TestChannelsAreKeyedTogether(t *testing.T) {
	r := newRig(t, 2)
	slope := ValueID{StepTrial, "slope"}
	r.set(func(m *study.Matte) {
		m.Trial.Slope[2].SetKey(9, 2, mask.Curved)
		m.Trial.Slope[0].SetKey(4, 2, mask.Straight)
		m.Trial.Slope[1].SetKey(4, 2, mask.Straight)
	})
	assert.Equal(t, []TimedKey{{4, mask.Straight}, {9, mask.Curved}}, ValueOf(r.Study(), r.Matte(), slope).Keys())
	r.value(slope, func(v OverTime) { v.Move(4, 6) })
	assert.Equal(t, []int{6, 9}, r.framesOf(slope))
	r.value(slope, func(v OverTime) { v.Remove(9) })
	assert.Equal(t, []int{6}, r.framesOf(slope))
	assert.Equal(t, study.Constant(2), r.Matte().Trial.Slope[2], "its last key")
}

func TestValuesThatAreNotThere(t *testing.T) {
	r := newRig(t, 2)
	for _, id := range ValueIDs() {
		assert.Nil(t, ValueOf(nil, nil, id), id)
		if id.Step == StepBase {
			assert.NotNil(t, ValueOf(r.Study(), nil, id), id)
		} else {
			assert.Nil(t, ValueOf(r.Study(), nil, id), id)
		}
	}
}

func TestKeyedValuesAreInTheOrderOfThePanels(t *testing.T) {
	r := newRig(t, 3)
	for _, id := range []ValueID{{StepTrial, "power"}, {StepEdge, "grow"}, {StepBase, "exposure"}, {StepPick, "lightness"}, {StepBase, GreyValue}} {
		r.value(id, func(v OverTime) { v.Add(2) })
	}
	var names []string
	for _, v := range r.KeyedValues() {
		names = append(names, v.Label)
		assert.Equal(t, []TimedKey{{2, mask.Straight}}, v.Keys)
	}
	assert.Equal(t, []string{"Grey", "Exposure", "Lightness", "Grow", "Power"}, names)
	r.DeleteMatte()
	names = nil
	for _, v := range r.KeyedValues() {
		names = append(names, v.Label)
	}
	assert.Equal(t, []string{"Grey", "Exposure"}, names, "the base's stay")
}

// Who changes a value between two keys is told of the key that this makes.
func TestNewKeysAreTold(t *testing.T) {
	r := newRig(t, 6)
	note := func() string {
		if len(r.notes) == 0 {
			return ""
		}
		last := r.notes[len(r.notes)-1]
		r.notes = nil
		return last
	}
	soften := func(v float64) {
		frame := r.Frame
		r.set(func(m *study.Matte) { m.Edge.Soften.Set(frame, v) })
	}
	soften(1)
	assert.Empty(t, note(), "a constant has no keys")
	r.value(ValueID{StepEdge, "soften"}, func(v OverTime) { v.Add(1) })
	assert.Equal(t, "soften: key made at frame 1", note())
	soften(2)
	assert.Empty(t, note(), "there is one")
	r.GoToFrame(4)
	soften(5)
	assert.Equal(t, "soften: key made at frame 4", note())
	r.Undo()
	assert.Empty(t, note(), "that is not asked for")
	r.value(ValueID{StepEdge, "soften"}, func(v OverTime) { v.Move(1, 4) })
	assert.Empty(t, note(), "a moved key is no new one")
	r.AddMask(study.Keep, box(8, 8, 40, 40))
	assert.Empty(t, note(), "a mask comes with its key")
	r.GoToFrame(5)
	frame := r.Frame
	r.EditMask("Move", func(m *study.Mask) error { m.Move(frame, mask.Here, 4, 0); return nil })
	assert.Equal(t, "‘keep’: key made at frame 5", note())
	r.GoToFrame(6)
	r.set(func(m *study.Matte) {
		m.Masks[0].Move(6, mask.Here, 4, 0)
		m.Edge.Soften.Set(6, 9)
	})
	assert.Equal(t, "2 keys made at frame 6", note())
}

func TestNewKeysAreToldInWords(t *testing.T) {
	r := newRig(t, 2)
	for _, id := range ValueIDs() {
		r.pickFor(id)
		r.notes = nil
		r.value(id, func(v OverTime) { v.Add(1) })
		assert.Equal(t, []string{id.Words() + ": key made at frame 1"}, r.notes)
		assert.Regexp(t, `^[a-z]+( [a-z]+)?$`, id.Words(), "words, not a name of a file")
	}
}

func TestAStillTellsOfNoKeys(t *testing.T) {
	r := newRig(t, 1)
	r.value(ValueID{StepEdge, "soften"}, func(v OverTime) { v.Add(1) })
	r.AddMask(study.Keep, box(8, 8, 40, 40))
	r.AddKeyHere()
	assert.Empty(t, r.notes)
}
