package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/cdl"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

func (r *rig) names() (names []string) {
	for _, m := range r.Study().Mattes {
		names = append(names, m.Name)
	}
	return names
}

func TestANewMatteIsChosenAndPicked(t *testing.T) {
	r := newRig(t, 1)
	r.GoToStep(StepTrial)
	r.NewMatte()
	r.NewMatte()
	assert.Equal(t, []string{"tape", "matte", "matte 2"}, r.names())
	assert.Equal(t, "matte 2", r.Matte().Name)
	assert.Equal(t, selection.LCh, r.Matte().Pick.Model)
	assert.Equal(t, StepPick, r.Step)
	assert.Equal(t, []string{"New matte", "New matte"}, r.labels())
}

// A duplicate has all of a matte's settings, with the pivot of its trial, and its
// dabs, all under ids of their own; its proofs stay with the first.
func TestADuplicateOfAMatte(t *testing.T) {
	r := newRig(t, 4)
	r.dab(onTape, onGrass)
	r.AddMask(study.Keep, box(30, 10, 80, 50))
	r.TakeCDL(cdl.Correction{CDL: colour.CDL{Slope: [3]float64{1.2, 1, 1}, Power: [3]float64{1, 1, 1}, Saturation: 1}})
	r.SetPivot(0.2, study.Done)
	r.KeepProof()
	r.set(func(m *study.Matte) { m.Note, m.Edge.Soften = "for the sand", study.Constant(2) })
	first := r.Study().Clone().Matte(r.MatteID)
	r.DuplicateMatte()
	m := r.Matte()
	assert.Equal(t, "tape 2", m.Name)
	assert.Equal(t, first.Note, m.Note)
	assert.Equal(t, first.Pick, m.Pick)
	assert.Equal(t, first.Edge, m.Edge)
	assert.Equal(t, first.Trial, m.Trial)
	assert.Equal(t, 0.2, m.Trial.Pivot)
	assert.Empty(t, m.Proofs)
	seen := map[int]bool{}
	for _, o := range r.Study().Mattes {
		for _, id := range append([]int{o.ID, o.Masks[0].ID}, o.Dabs[0].ID, o.Dabs[1].ID) {
			assert.False(t, seen[id], "id %d twice", id)
			seen[id] = true
		}
	}
	assert.Equal(t, first.Masks[0].Track, m.Masks[0].Track)
	for i, d := range m.Dabs {
		d.ID = first.Dabs[i].ID
		assert.Equal(t, first.Dabs[i], d)
	}
	assert.Equal(t, m.Masks[0].ID, r.MaskID, "its mask is chosen")

	r.EditMask("Move", func(t *study.Mask) error { t.Move(1, mask.Everywhere, 5, 5); return nil })
	r.RemoveDabs()
	assert.Equal(t, first, r.Study().Matte(first.ID), "what is done to the copy leaves the first alone")
	r.Undo()
	r.Undo()
	r.Undo()
	assert.Len(t, r.Study().Mattes, 1)
	assert.Equal(t, first.ID, r.MatteID)
}

func TestMattesMovePlaces(t *testing.T) {
	r := newRig(t, 1)
	r.NewMatte()
	require.NoError(t, r.RenameMatte("grass"))
	r.NewMatte()
	require.NoError(t, r.RenameMatte("sand"))
	for _, tt := range []struct {
		by   int
		want []string
	}{
		{1, []string{"tape", "grass", "sand"}},
		{-1, []string{"tape", "sand", "grass"}},
		{-1, []string{"sand", "tape", "grass"}},
		{-1, []string{"sand", "tape", "grass"}},
		{1, []string{"tape", "sand", "grass"}},
	} {
		r.MoveMatte(tt.by)
		assert.Equal(t, tt.want, r.names())
		assert.Equal(t, "sand", r.Matte().Name, "it stays chosen")
	}
	n := len(r.labels())
	r.MoveMatte(9)
	assert.Len(t, r.labels(), n)
}

func TestGoingFromMatteToMatte(t *testing.T) {
	r := newRig(t, 1)
	r.NewMatte()
	r.NewMatte()
	for _, tt := range []struct {
		by   int
		want string
	}{{-1, "matte"}, {-1, "tape"}, {-1, "tape"}, {9, "matte 2"}, {1, "matte 2"}, {-9, "tape"}} {
		r.NextMatte(tt.by)
		assert.Equal(t, tt.want, r.Matte().Name)
	}
	for r.Matte() != nil {
		r.DeleteMatte()
	}
	r.NextMatte(1)
	assert.Nil(t, r.Matte())
}

func TestADeletedMatteComesBack(t *testing.T) {
	r := newRig(t, 1)
	first := r.MatteID
	r.NewMatte()
	r.Choose(first)
	r.DeleteMatte()
	assert.Equal(t, []string{"matte"}, r.names())
	assert.Equal(t, "matte", r.Matte().Name, "another is chosen")
	r.Undo()
	assert.Equal(t, []string{"tape", "matte"}, r.names(), "in its place")
}

func TestAMatteIsRenamed(t *testing.T) {
	r := newRig(t, 1)
	r.NewMatte()
	assert.ErrorContains(t, r.RenameMatte("TAPE"), `"tape" is there already`)
	assert.Equal(t, "matte", r.Matte().Name)
	require.NoError(t, r.RenameMatte("Matte"), "its own name in another case")
	require.NoError(t, r.RenameMatte("seagrass"))
	assert.Equal(t, "seagrass", r.Matte().Name)
	assert.Equal(t, "Rename matte", r.labels()[0])
}
