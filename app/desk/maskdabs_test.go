package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// A dab for masks leaves the pick alone, and says at once what lies inside the edge.
func TestDabsForMasks(t *testing.T) {
	r := newLooseRig(t)
	r.rest()
	before := r.pick()
	r.SetDabUse(ForMasks)
	sand := study.Dab{X: 58, Y: 47, Radius: 2, Kind: study.Drop}
	assert.Empty(t, r.PressDab(sand), "its colours say nothing")
	r.EndPress()
	r.AddDab(sand)
	require.Len(t, r.Matte().MaskDabs, 1)
	assert.Empty(t, r.Matte().Dabs)
	assert.Equal(t, "Drop dab for masks", r.labels()[0])
	assert.Equal(t, before, r.pick())
	o := r.awaitOutline()
	require.Len(t, o.Layer.Search.Dabs, 1)
	assert.False(t, o.Layer.Search.Dabs[0].Inside)

	d := r.Matte().MaskDabs[0]
	assert.Equal(t, 1, d.Frame)
	d.X = 40
	r.MoveDab(d)
	assert.Equal(t, 40.0, r.Matte().MaskDabs[0].X)
	assert.Equal(t, "Move dab", r.labels()[0])
	_, ok := r.OutlineOf(r.MaskID)
	assert.False(t, ok, "the edge may be another now")
	r.RemoveDab(d.ID)
	assert.Empty(t, r.Matte().MaskDabs)
}

// A dab for both is one edit, and two dabs from then on.
func TestADabForPickAndMasks(t *testing.T) {
	r := newRig(t, 1)
	r.SetDabUse(ForBoth)
	assert.Equal(t, ForPick, r.DabUse(), "no mask searches for an edge")
	r.AddMask(study.Keep, box(34, 14, 62, 50))
	r.rest()
	assert.Equal(t, ForBoth, r.DabUse())
	r.dab(onTape)
	require.Len(t, r.Matte().MaskDabs, 1)
	pick, masks := r.Matte().Dabs[0], r.Matte().MaskDabs[0]
	assert.NotEqual(t, pick.ID, masks.ID)
	masks.ID = pick.ID
	assert.Equal(t, pick, masks)
	assert.True(t, r.Matte().Pick.Fitted)
	r.Undo()
	assert.Empty(t, r.Matte().Dabs)
	assert.Empty(t, r.Matte().MaskDabs)
	r.Redo()
	r.RemoveDabs()
	assert.Empty(t, r.Matte().Dabs)
	assert.Empty(t, r.Matte().MaskDabs)
}

// Where masks search, new dabs begin as dabs for them, unless the pick has some; what the
// user says of a matte stays with it.
func TestWhatDabsBeginAsIsForMasks(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape)
	r.AddMask(study.Keep, box(34, 14, 62, 50))
	assert.Equal(t, ForPick, r.DabUse(), "the pick has a dab")
	r.RemoveDabs()
	assert.Equal(t, ForMasks, r.DabUse())
	r.SlideSearch(0, study.Done)
	assert.Equal(t, ForPick, r.DabUse(), "no mask searches for an edge")
	r.Undo()
	first := r.MatteID
	r.SetDabUse(ForPick)
	r.dab(onTape)
	require.Len(t, r.Matte().Dabs, 1)
	r.NewMatte()
	r.AddMask(study.Keep, box(34, 14, 62, 50))
	require.NotEqual(t, first, r.MatteID)
	assert.Equal(t, ForMasks, r.DabUse(), "it is of another matte")
	r.SetDabUse(ForBoth)
	r.Choose(first)
	assert.Equal(t, ForPick, r.DabUse())
}

func TestDabsForMasksAreCounted(t *testing.T) {
	m := new(study.Matte)
	assert.Empty(t, MaskDabWords(m))
	m.Dabs = []study.Dab{onTape}
	assert.Empty(t, MaskDabWords(m), "it is for the pick")
	m.MaskDabs = []study.Dab{onTape, onTape2, onGrass}
	assert.Equal(t, "2 keep, 1 drop dabs for masks", MaskDabWords(m))
}

// A dab that has no say is told: outside of every outline, or too far from a tight line.
func TestADabWithoutASayIsTold(t *testing.T) {
	r := newLooseRig(t)
	r.rest()
	r.SetDabUse(ForMasks)
	r.AddDab(study.Dab{X: 58, Y: 47, Radius: 2, Kind: study.Drop})
	assert.Empty(t, r.notes, "it lies inside the outline")
	r.AddDab(study.Dab{X: 80, Y: 55, Radius: 2, Kind: study.Drop})
	require.Len(t, r.notes, 1)
	assert.Equal(t, "This dab has no say: it lies outside the outline of every mask that searches an edge", r.notes[0])
	d := r.Matte().MaskDabs[1]
	d.X, d.Y = 5, 5
	r.MoveDab(d)
	require.Len(t, r.notes, 2, "it is said of one that is moved too")
	d.X, d.Y = 40, 18
	r.MoveDab(d)
	assert.Len(t, r.notes, 2)

	r.SetTight(true)
	r.AddDab(study.Dab{X: 64, Y: 40, Radius: 2, Kind: study.Drop})
	assert.Len(t, r.notes, 2, "2 px from a tight line")
	r.AddDab(study.Dab{X: 90, Y: 40, Radius: 2, Kind: study.Drop})
	require.Len(t, r.notes, 3)
	assert.Equal(t, "This dab has no say: it lies too far from the tight line of every mask that searches an edge", r.notes[2])

	r.SetDabUse(ForBoth)
	r.dab(onGrass)
	assert.Len(t, r.notes, 4, "of both kinds too")
	r.SetDabUse(ForMasks)
	r.ToggleMask()
	r.AddDab(study.Dab{X: 48, Y: 32, Radius: 2})
	assert.Equal(t, "This dab has no say: no mask searches an edge on frame 1", r.notes[4])
}
