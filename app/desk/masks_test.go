package desk

import (
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
)

func TestANewMask(t *testing.T) {
	r := newRig(t, 4)
	r.GoToFrame(3)
	r.AddMask(study.Drop, box(10, 10, 40, 40))
	m := r.Mask()
	require.NotNil(t, m, "it is chosen")
	assert.Equal(t, study.Drop, m.Kind)
	assert.Equal(t, "drop", m.Name)
	assert.True(t, m.Rounded)
	assert.Equal(t, []study.MaskKey{{Frame: 3, Points: box(10, 10, 40, 40), Inner: 2, Outer: 6, Opacity: 1}}, m.Keys)
	assert.Equal(t, []string{"New drop mask"}, r.labels())
	r.Undo()
	assert.Empty(t, r.Matte().Masks)
	assert.Zero(t, r.MaskID)
	r.AddMask(study.Keep, box(10, 10, 40, 40)[:2])
	assert.ErrorContains(t, r.lastProblem().Err, "point", "two are too few")
	assert.Empty(t, r.Matte().Masks)
}

// A new keep mask is led to the subject's edge, deeper in larger frames; a drop mask is as
// drawn; a duplicate is led as the first.
func TestNewKeepMasksSearchTheEdge(t *testing.T) {
	for _, tt := range []struct {
		lines int
		want  float64
	}{{64, 24}, {1080, 24}, {1440, 32}, {2160, 48}} {
		r := newIdleRig(t)
		path := filepath.Join(t.TempDir(), "frame.png")
		f, err := os.Create(path)
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, image.NewGray(image.Rect(0, 0, 16, tt.lines))))
		require.NoError(t, f.Close())
		r.begin(path)
		r.AddMask(study.Keep, box(2, 2, 10, 10))
		assert.Equal(t, tt.want, r.Mask().Search, "%d lines", tt.lines)
		r.SlideSearch(7, study.Done)
		r.DuplicateMask()
		assert.Equal(t, 7.0, r.Mask().Search)
		r.AddMask(study.Drop, box(2, 2, 10, 10))
		assert.Zero(t, r.Mask().Search)
	}
}

func TestNewMasksHaveNamesThatAreFree(t *testing.T) {
	r := newRig(t, 1)
	for range 3 {
		r.AddMask(study.Keep, box(10, 10, 40, 40))
	}
	r.AddMask(study.Drop, box(10, 10, 40, 40))
	r.MaskID = r.Matte().Masks[1].ID
	r.DeleteMask()
	r.AddMask(study.Keep, box(10, 10, 40, 40))
	var names []string
	for _, m := range r.Matte().Masks {
		names = append(names, m.Name)
	}
	assert.Equal(t, []string{"keep", "keep 3", "drop", "keep 2"}, names)
}

func TestAMaskIsRenamed(t *testing.T) {
	r := newRig(t, 1)
	r.AddMask(study.Keep, box(10, 10, 40, 40))
	r.AddMask(study.Keep, box(10, 10, 40, 40))
	require.NoError(t, r.RenameMask("reel"))
	assert.Equal(t, "reel", r.Mask().Name)
	assert.ErrorContains(t, r.RenameMask("KEEP"), `"keep" is there already`)
	assert.Equal(t, "reel", r.Mask().Name)
	require.NoError(t, r.RenameMask("Reel"), "its own name in another case")
	assert.Equal(t, []string{"Rename mask", "Rename mask"}, r.labels()[:2])
}

// A duplicate is the mask in all but its id and name; what is done to it leaves the
// first alone.
func TestADuplicateOfAMask(t *testing.T) {
	r := newMaskRig(t, 6, 2, 5)
	r.EditMask("All of it", func(m *study.Mask) error {
		m.Rounded, m.Off = false, true
		m.In, m.Out = study.Bound{Set: true, Frame: 2}, study.Bound{Set: true, Frame: 5}
		m.Kind = study.Drop
		m.Keys[0].Way, m.Keys[1].Opacity = mask.Curved, 0.5
		return nil
	})
	first := *r.Mask()
	r.DuplicateMask()
	copied := r.Mask()
	assert.NotEqual(t, first.ID, copied.ID)
	assert.Equal(t, "keep 2", copied.Name)
	assert.Equal(t, first.Kind, copied.Kind)
	assert.Equal(t, first.Track, copied.Track)
	r.EditMask("Move", func(m *study.Mask) error { m.Move(2, mask.Everywhere, 9, 9); return nil })
	assert.Equal(t, first.Track, r.Matte().Masks[0].Track)
	assert.NotEqual(t, first.Track, r.Mask().Track)
	r.DeleteMask()
	assert.Equal(t, first.ID, r.MaskID, "the one that is left is chosen")
}

func TestAMaskIsSwitchedTurnedAndRounded(t *testing.T) {
	r := newMaskRig(t, 2, 1)
	for _, tt := range []struct {
		act   func()
		state func() any
		label string
	}{
		{r.ToggleMask, func() any { return r.Mask().Off }, "Mask on or off"},
		{r.TurnMask, func() any { return r.Mask().Kind }, "Keep or drop"},
		{r.RoundMask, func() any { return r.Mask().Rounded }, "Rounded"},
	} {
		was := tt.state()
		tt.act()
		assert.NotEqual(t, was, tt.state(), tt.label)
		assert.Equal(t, tt.label, r.labels()[0])
		tt.act()
		assert.Equal(t, was, tt.state(), tt.label)
	}
}

func TestGoingFromMaskToMask(t *testing.T) {
	r := newRig(t, 1)
	for range 3 {
		r.AddMask(study.Keep, box(10, 10, 40, 40))
	}
	ids := []int{r.Matte().Masks[0].ID, r.Matte().Masks[1].ID, r.Matte().Masks[2].ID}
	for _, tt := range []struct{ from, by, to int }{{0, 1, 1}, {1, 1, 2}, {2, 1, 2}, {2, -1, 1}, {0, -1, 0}, {0, 9, 2}, {2, -9, 0}} {
		r.GoToStep(StepTrial)
		r.MaskID = ids[tt.from]
		r.NextMask(tt.by)
		assert.Equal(t, ids[tt.to], r.MaskID, tt)
		assert.Equal(t, StepMasks, r.Step)
	}
}

// A new vertex leaves a straight outline where it is; three stay.
func TestVertices(t *testing.T) {
	r := newMaskRig(t, 6, 1, 5)
	r.RoundMask()
	r.InsertVertex(1, 0.25)
	for _, k := range r.Mask().Keys {
		require.Len(t, k.Points, 5, "in every key")
		assert.Equal(t, mask.Point{X: 60, Y: 27.5}, k.Points[2])
	}
	assert.Equal(t, "New vertex", r.labels()[0])
	r.DeleteVertices([]int{0})
	r.DeleteVertices([]int{0})
	require.Len(t, r.Mask().Keys[1].Points, 3)
	before := r.Study()
	r.DeleteVertices([]int{0})
	assert.Equal(t, "Delete vertex: not done", r.lastProblem().What)
	r.InsertVertex(9, 0.5)
	assert.Equal(t, "New vertex: not done", r.lastProblem().What)
	assert.Same(t, before, r.Study())
}

// Several vertices go in one step, or none of them.
func TestSeveralVerticesGo(t *testing.T) {
	r := newMaskRig(t, 6, 1, 5)
	r.RoundMask()
	r.InsertVertex(0, 0.5)
	r.InsertVertex(3, 0.5)
	steps, was := len(r.labels()), r.Mask().Keys[1].Points
	require.Len(t, was, 6)
	assert.False(t, r.DeleteVertices([]int{0, 1, 2, 5}), "two would be left")
	assert.Equal(t, was, r.Mask().Keys[1].Points)
	assert.True(t, r.DeleteVertices([]int{1, 4}))
	assert.Equal(t, []mask.Point{was[0], was[2], was[3], was[5]}, r.Mask().Keys[1].Points)
	assert.Equal(t, "Delete vertices", r.labels()[0])
	assert.Len(t, r.labels(), steps+1)
}

// What the masks weigh at a pixel: keep masks let nothing else in, drop masks take
// out, one that is off or does not work here counts for nothing.
func TestWhatMasksWeighAtAPixel(t *testing.T) {
	r := newRig(t, 6)
	assert.Equal(t, 1.0, r.MaskAt(5, 5), "without masks all is in")
	r.AddMask(study.Keep, box(10, 10, 60, 50))
	r.RoundMask()
	assert.Equal(t, 1.0, r.MaskAt(30, 30))
	assert.Equal(t, 0.0, r.MaskAt(80, 60))
	edge := r.MaskAt(62, 30)
	assert.True(t, edge > 0 && edge < 1, "in the feather: %v", edge)
	r.AddMask(study.Drop, box(20, 20, 40, 40))
	assert.Equal(t, 0.0, r.MaskAt(30, 30))
	assert.Equal(t, 1.0, r.MaskAt(50, 20))
	r.ToggleMask()
	assert.Equal(t, 1.0, r.MaskAt(30, 30), "it is off")
	r.ToggleMask()
	r.SetIn(4)
	assert.Equal(t, 1.0, r.MaskAt(30, 30), "it does not work yet")
	r.GoToFrame(4)
	assert.Equal(t, 0.0, r.MaskAt(30, 30))
}

func TestAMaskThatIsNotThere(t *testing.T) {
	r := newRig(t, 1)
	r.EditMask("x", func(*study.Mask) error { return nil })
	assert.ErrorContains(t, r.lastProblem().Err, "no such mask")
	before := r.Study()
	r.DeleteMask()
	assert.Same(t, before, r.Study())
	r.DuplicateMask()
	assert.ErrorContains(t, r.lastProblem().Err, "no such mask")
	assert.Same(t, before, r.Study())
}

// All masks that are on get one feather, in each of their keys, as one edit.
func TestFeathersOfAllMasks(t *testing.T) {
	r := newRig(t, 3)
	_, ok := r.Feathers()
	assert.False(t, ok, "there are no masks")
	r.AddMask(study.Keep, box(8, 8, 40, 40))
	r.AddMask(study.Drop, box(20, 8, 40, 40))
	r.GoToFrame(3)
	r.EditMask("Wide", func(t *study.Mask) error {
		t.Change(3, mask.Here, func(k *study.MaskKey) { k.Outer = 20 })
		return nil
	})
	px, ok := r.Feathers()
	require.True(t, ok)
	assert.Equal(t, 20.0, px, "the widest")
	n := len(r.labels())
	r.SlideFeathers(7, study.Moved)
	r.SlideFeathers(9, study.Done)
	require.Len(t, r.labels(), n+1)
	assert.Equal(t, "All feathers", r.labels()[0])
	for _, m := range r.Matte().Masks {
		for _, k := range m.Keys {
			assert.Equal(t, 9.0, k.Outer)
			assert.Equal(t, 2.0, k.Inner, "inward they stay")
		}
	}
	r.ToggleMask()
	_, ok = r.Feathers()
	assert.False(t, ok, "one alone is on")
	r.SlideFeathers(5, study.Done)
	assert.ErrorContains(t, r.lastProblem().Err, "not several masks")
}

// A followed outline is drawn anew with other vertices in one step; keys that share theirs are not.
func TestAMaskIsDrawnAnew(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.GoToFrame(4)
	require.True(t, r.CanDrawAnew())
	drawn := []mask.Point{{X: 10, Y: 10}, {X: 60, Y: 10}, {X: 60, Y: 60}, {X: 30, Y: 80}, {X: 10, Y: 60}}
	r.RedrawMask(r.MaskID, drawn)
	assert.Equal(t, []int{1, 4, 7}, FramesOf(&r.Mask().Track))
	assert.Equal(t, drawn, r.Mask().At(4).Points)
	assert.True(t, r.Mask().Follows())
	require.True(t, r.CanDrawAnew(), "the key that was made has vertices of its own")
	r.SetWay(mask.Straight)
	assert.Len(t, r.problems, 1, "the next key has others")
	r.Undo()
	assert.Equal(t, []int{1, 7}, FramesOf(&r.Mask().Track))
	r.GoToFrame(1)
	r.SetWay(mask.Straight)
	assert.False(t, r.CanDrawAnew())
	r.RedrawMask(r.MaskID, drawn)
	assert.Len(t, r.problems, 2)
	assert.Len(t, r.Mask().At(1).Points, 4)
}
