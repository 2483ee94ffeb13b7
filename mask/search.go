package mask

import (
	"fmt"
	"image"

	"halocline/colour"
)

// A Search says how a drawn outline is led to the edge of what it encloses (package edge).
// The zero value leaves it as it is drawn.
type Search struct {
	// Depth is how deep below the outline the edge is expected, in pixels of the source:
	// more of a hint than a limit. 0 leaves the outline alone.
	Depth float64
	// Tight is for an outline that lies on the edge within a few pixels: the edge is looked
	// for on both sides of it.
	Tight bool
	Dabs  []Dab
}

// On reports whether an edge is searched for.
func (s *Search) On() bool { return s.Depth > 0 }

// A Dab is a disc that is known to lie inside the edge or outside of it. Where the outline
// leaves no doubt, it has no say.
type Dab struct {
	X, Y, Radius float64 // pixels of the source
	Inside       bool
}

// MaxDepth is the most that a Search's depth may be, in pixels.
const MaxDepth = 1000

func (s *Search) fault() error {
	if !(s.Depth >= 0 && s.Depth <= MaxDepth) {
		return fmt.Errorf("edge search is %v pixels deep, want 0 to %d", s.Depth, MaxDepth)
	}
	return nil
}

// A Raster is weights of some of the source's pixels, those from (X0,Y0) on; the others
// have none.
type Raster struct {
	X0, Y0 int
	colour.Plane
}

// Bounds are the source's pixels that it has.
func (r *Raster) Bounds() image.Rectangle { return r.Plane.Bounds().Add(image.Pt(r.X0, r.Y0)) }

// At returns the value of one of the source's pixels, and beyond those that it has another.
func (r *Raster) At(x, y int, beyond float32) float32 {
	x, y = x-r.X0, y-r.Y0
	if x < 0 || y < 0 || x >= r.W || y >= r.H {
		return beyond
	}
	return r.Row(y)[x]
}
