package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/check"
	"halocline/app/desk/watch"
	"halocline/app/render"
)

// Where outlines may cut is said of the frame and the matte that it was found of, and comes
// before the worst edges.
func TestWhereOutlinesMayCut(t *testing.T) {
	r := newPickedRig(t, 2)
	r.rest()
	assert.Empty(t, r.CrossingWords())
	r.Found.Crossings = []render.Crossing{
		{X: 50.4, Y: 31.6, Length: 40},
		{X: 70, Y: 20, Length: 30},
	}
	r.Found.Worst = []check.Patch{{X: 3, Y: 4, Badness: 2}}
	assert.Equal(t, "The outline may cut the subject at 50, 32.", r.CrossingWords())
	here := "the outline may cut the subject here"
	half := watch.PatchSide / 2
	assert.Equal(t, []Look{
		{check.Patch{X: 50 - half, Y: 31 - half}, here},
		{check.Patch{X: 70 - half, Y: 20 - half}, here},
		{check.Patch{X: 3, Y: 4, Badness: 2}, "worst 1 of 1"},
	}, Looks(&r.Found))
	r.GoToFrame(1)
	r.Found.Frame = 2
	assert.Empty(t, r.CrossingWords(), "it is of another frame")
	assert.Empty(t, Looks(&watch.Findings{}))
}
