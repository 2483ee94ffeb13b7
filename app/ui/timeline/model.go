package timeline

import "slices"

// A Clip is the footage on the ruler.
type Clip struct {
	Frames []int // that are there, ascending, one or more; not changed by anybody
	Rate   Rate
	Unread map[int]bool // frames that could not be read
}

func (c *Clip) first() int { return c.Frames[0] }
func (c *Clip) last() int  { return c.Frames[len(c.Frames)-1] }

// nearest is the frame that is there nearest to a place between frames.
func (c *Clip) nearest(at float64) int {
	i, _ := slices.BinarySearchFunc(c.Frames, at, func(n int, at float64) int {
		if float64(n) < at {
			return -1
		}
		return 1
	})
	switch {
	case i == 0:
		return c.first()
	case i == len(c.Frames):
		return c.last()
	case at-float64(c.Frames[i-1]) <= float64(c.Frames[i])-at:
		return c.Frames[i-1]
	}
	return c.Frames[i]
}

// beside is the frame that is so many on or back among those that are there.
func (c *Clip) beside(frame, by int) int {
	i, there := slices.BinarySearch(c.Frames, frame)
	if !there && by > 0 {
		by--
	}
	return c.Frames[max(0, min(len(c.Frames)-1, i+by))]
}

// gaps calls each for what lies between frames that are there.
func (c *Clip) gaps(each func(before, after int)) {
	if c.last()-c.first() == len(c.Frames)-1 {
		return
	}
	for i, n := range c.Frames[1:] {
		if n > c.Frames[i]+1 {
			each(c.Frames[i], n)
		}
	}
}

// Way is how a lane goes on from a key to the next.
type Way int

const (
	Straight Way = iota
	Step
	Curved
	Follow // with the picture's motion
)

// A Key is a notch of a lane.
type Key struct {
	Frame   int
	Way     Way
	Reached bool // edits at the playhead change it too: such keys are chained
}

// A Bound is a frame that may be absent.
type Bound struct {
	Set   bool
	Frame int
}

// Kind is what a lane shows the keys of.
type Kind int

const (
	Keep Kind = iota // a mask to keep: a disc
	Drop             // a mask to drop: a square
	Values
)

// A Lane is a row of keys.
type Lane struct {
	ID      int
	Name    string
	Kind    Kind
	Chosen  bool
	Off     bool
	In, Out Bound // outside of these it does not work
	Keys    []Key // by ascending frame
	// Before and After say that the mask follows the picture before its first key and after its
	// last.
	Before, After bool
	Sure          []Sure // where it follows the picture and was found, by ascending frame
}

// key is the number of the key at a frame; false for none.
func (l *Lane) key(frame int) (int, bool) {
	return slices.BinarySearchFunc(l.Keys, frame, func(k Key, f int) int { return k.Frame - f })
}

// A Note is what is known of the matte on a frame.
type Note struct {
	Frame   int
	Area    float64  // share of the frame, in [0,1]
	Rough   bool     // the area is of a proxy
	Flicker *float64 // toward the frame before, in [0,1]; nil: not known
	Leak    *float64 // in [0,1]; nil: none can be told
	Sure    *float64 // how likely followed outlines are right, in [0,1]; nil: none follows
	Misfit  *float64 // of the trial's seam, in CIEDE2000; nil: nothing is graded, or there is no seam
	Words   string   // what is wrong there whatever the rest of the clip is like; "" for nothing
	Stale   bool     // of the matte as it was before an edit
}

// A Flag marks one of the worst frames; Rank 1 is the worst.
type Flag struct {
	Frame, Rank int
	Words       string // what is wrong there
}

// Notes are the strip: what is known, by ascending frame, and the flags.
type Notes struct {
	Notes []Note
	Flags []Flag
}

// at is the note of a frame; nil where it has not been looked at.
func (n *Notes) at(frame int) *Note {
	i, ok := slices.BinarySearchFunc(n.Notes, frame, func(o Note, f int) int { return o.Frame - f })
	if !ok {
		return nil
	}
	return &n.Notes[i]
}
