package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/proof"
	"halocline/app/study"
)

func TestAProofIsKeptUsedNotedAndForgotten(t *testing.T) {
	r := newRig(t, 1)
	r.Edit("Soften", softened(3))
	was := r.Matte().Settings.Clone()
	r.KeepProof()
	assert.Equal(t, "Keep as proof", r.labels()[0])
	require.Len(t, r.Matte().Proofs, 1)
	kept := r.Matte().Proofs[0]
	assert.Equal(t, "proof 1", kept.Name)
	assert.Equal(t, was, kept.Settings)

	r.Edit("Soften", softened(9))
	assert.Equal(t, was, r.Matte().Proofs[0].Settings, "it stays")
	assert.True(t, r.NoteProof(kept.ID, "before softening"))
	assert.Equal(t, "before softening", r.Matte().Proofs[0].Note)
	r.UseProof(proof.Item{Name: "proof 1", Kept: kept.ID})
	assert.Equal(t, "Use proof 1", r.labels()[0])
	assert.Equal(t, was, r.Matte().Settings)
	assert.Len(t, r.Matte().Proofs, 1, "the proof stays")
	r.Edit("Soften", softened(5))
	assert.Equal(t, 3.0, r.Matte().Proofs[0].Edge.Soften.At(1), "an edit leaves it alone")

	r.ForgetProof(kept.ID)
	assert.Empty(t, r.Matte().Proofs)
	r.UseProof(proof.Item{Name: "proof 1", Kept: kept.ID})
	assert.ErrorContains(t, r.lastProblem().Err, "no proof")
	for range 2 {
		r.Undo()
	}
	assert.Len(t, r.Matte().Proofs, 1)
}

func TestProofsHaveNamesThatAreFree(t *testing.T) {
	r := newRig(t, 1)
	r.KeepProof()
	r.KeepProof()
	r.ForgetProof(r.Matte().Proofs[0].ID)
	r.KeepProof()
	assert.NotEqual(t, r.Matte().Proofs[0].Name, r.Matte().Proofs[1].Name)
	r.NoteProof(4711, "of none")
	assert.Equal(t, "Keep as proof", r.labels()[0], "no proof has that id")
}

// The values of a sweep become proofs in one edit, with their notes; those that are
// kept already, and what the matte is, do not.
func TestTheSweptAreKeptWithTheirNotes(t *testing.T) {
	r := newRig(t, 1)
	r.KeepProof()
	soften, err := proof.ParameterNamed(&r.Matte().Settings, "soften")
	require.NoError(t, err)
	sweep := proof.Sweep{Of: soften, From: 1, To: 5, Count: 3}
	items := proof.Items(r.Matte(), true, &sweep)
	swept := 0
	notes := map[int]string{}
	for i, it := range items {
		if it.Swept && it.Kept == 0 {
			swept++
			notes[i] = "note of " + it.Name
		}
	}
	require.Equal(t, 3, swept)
	now := r.Matte().Settings.Clone()
	n := len(r.labels())
	r.KeepProofs(items, notes)
	assert.Len(t, r.labels(), n+1)
	assert.Equal(t, "Keep 3 proofs", r.labels()[0])
	assert.Equal(t, now, r.Matte().Settings, "the matte stays as it is")
	require.Len(t, r.Matte().Proofs, 4)
	for i, v := range sweep.Values() {
		p := r.Matte().Proofs[1+i]
		assert.Equal(t, v, p.Edge.Soften.At(1))
		assert.Equal(t, "note of "+p.Name, p.Note)
	}
	r.UseProof(items[len(items)-1])
	assert.Equal(t, 5.0, r.soften(), "a value that is not kept can be used too")
	r.Edit("Soften", softened(2))
	assert.Equal(t, 5.0, items[len(items)-1].Settings.Edge.Soften.At(1), "what was used is a copy")
	r.Undo()
	r.Undo()
	r.Undo()
	assert.Len(t, r.Matte().Proofs, 1, "one edit")
}

func TestAProofIsOfItsMatte(t *testing.T) {
	r := newRig(t, 1)
	r.KeepProof()
	id := r.Matte().Proofs[0].ID
	r.NewMatte()
	assert.False(t, r.EditMatte("Use", func(m *study.Matte) error { return m.TakeProof(id) }))
	assert.NotEmpty(t, r.lastProblem().What)
	r.ForgetProof(id)
	assert.Len(t, r.Study().Mattes[0].Proofs, 1)
}
