package shot

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"sync"

	"halocline/app/check"
	"halocline/app/check/seam"
	"halocline/app/follow"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

// A Shot is a matte to be judged over the frames of a clip.
type Shot struct {
	Source render.Source // each worker reads it through a renderer of its own
	// Renderer, if not nil, takes Source's place, and frames are worked on one at a
	// time, on Renderer's workers: what several shots have in common is then made
	// once.
	Renderer *render.Renderer
	// Beside, if not nil, is a renderer of the same footage with which the workers share what
	// they find of outlines that follow the picture, and where it is kept
	// (render.Renderer.KeepOutlines).
	Beside *render.Renderer
	// Figures, if not nil, keeps the figures of frames, without a Truth: what it has of these
	// files is not worked out again. A file is taken for the same by its size and its time.
	Figures  FigureStore
	Study    *study.Study    // only read
	Settings *study.Settings // a matte's, or a proof's
	Dabs     []study.Dab     // the matte's, with those of all that it takes in: study.Study.DabsOf
	// Frames are all frames that the clip has in the range that is judged, by the
	// source's numbers, ascending. A frame whose predecessor is not among them
	// differs from nothing.
	Frames []int
	// Truth, if not nil, gives a frame's true matte. It may be called from
	// several goroutines. A frame without one cannot be judged.
	Truth func(ctx context.Context, frame int) (colour.Plane, error)
	// Lost, if not nil, is told of frames whose dabs cannot be read, by their numbers,
	// ascending, and why the first cannot: these dabs do not count.
	Lost func(frames []int, why error)
	// Factor is the proxy on which mattes are judged: 1, which 0 means too, is
	// every pixel. Figures come in pixels of the source in any case. Truth needs 1.
	// By 2, on the sample's mattes at 1280 x 720: area within 0.2 % of itself, change
	// within 0.001, dropped 0.007, band 0.02; flicker 3 to 18 % less, cut mostly 5 to
	// 18 % less, edges 0.3 to 1.4 px wider, up to a half fewer specks and holes.
	Factor int
	// Carry asks for the carried change too, which takes the motion between each two frames:
	// that takes longer than most mattes.
	Carry bool
	// Workers is how many frames are worked on at once, 0 = one for each
	// processor. Figures do not depend on it.
	Workers int
}

// A Frame is what one frame's matte is like, and how it came from the frame's
// before. What has no meaning is nil.
type Frame struct {
	Number        int
	Err           error // why the frame cannot be judged; the rest is 0 then
	check.Figures       // in pixels of the source
	// Proxy tells that not every pixel was looked at: Shot.Factor was 2 or more.
	Proxy bool
	// Band is the mean alpha in the bands over which the masks fade: what a
	// mask's edge cuts through. nil: no mask's edge is in the picture.
	Band *float64
	// Core is the mean alpha deeper than a 96th of the frame's width inside the keep masks:
	// far below 1 the pick bites into its masks. nil: they have no such place.
	Core *float64
	// Bite is what the pick leaves out of what looks like its keep dabs there. nil: there is
	// no keep mask or no keep dab, or the matte takes in others, whose dabs are not its own.
	Bite *check.Bite
	// Cut is the length, in pixels of the source, of the longest stretch of the
	// masks' edges that cuts through what the matte would cover without them; of masks
	// that are led to an edge, of the outlines as drawn, unless they are tight. nil as for
	// Band.
	Cut *float64
	// Crossings are where the subject may cross the outlines that its own masks are led to an
	// edge from, so that these cut it; the longest first.
	Crossings []Crossing
	// Confidence is how likely the outlines are right that follow the picture to the frame, in
	// [0,1]: that of the least likely, also of what is taken in. nil: none follows.
	Confidence *float64
	// Sure is the same of each of the matte's own masks that follows the picture to the frame,
	// in their order.
	Sure []MaskSure
	// MaskedEdge is the share of the matte's edge that its own masks end; the pick makes the
	// rest, and what is taken in (check.MaskedEdge). nil: there are no masks, or no edge.
	MaskedEdge *float64
	// Filled is the matte's area over that of its own masks: what is kept of them, and what is
	// taken in. nil: there are no masks, or they are empty.
	Filled *float64
	// Colours are those in the matte. nil: it is empty.
	Colours *Colours
	// Dropped is the share of alpha on pixels that lie on the drop side of the
	// plane that separates the dabs best. nil: no such plane, or the matte is empty.
	Dropped *float64
	// Flicker is how much the matte changed since the frame before where the
	// picture did not (package comment). nil: there is no frame before, or too
	// little of the picture stood still.
	Flicker *float64
	// CarriedChange is the mean change of alpha against the matte of the frame before, carried
	// along the picture's motion (package comment). nil: it is not asked for, there is no frame
	// before or a cut behind it, or both mattes are empty.
	CarriedChange *float64
	// Change is how much larger or smaller the area is than on the frame before, as
	// a share of the larger. nil: there is no frame before.
	Change *float64
	// Seam is how the matte sits on the picture's edge under its trial. nil: the
	// trial is off or changes nothing, or there is no seam (seam.NoneError).
	Seam *seam.Figures
	// Coverage is how much of the trial's grade lies on whole regions that it should not reach,
	// and what it leaves out. nil as for Seam.
	Coverage *seam.Coverage
	IoU      *float64 // against the truth; nil: none, or both are empty
	DTSSD    *float64 // likewise, since the frame before
	// LostEdges are the ids of masks, also of what is taken in, whose edges were looked for
	// and not found: they are as drawn.
	LostEdges []int

	key      string
	width    int        // of the whole frame, in the source's pixels
	maskSums []maskSums // of the pick about each keep mask
}

// A MaskSure is how likely a mask's outline is right that follows the picture to a frame.
type MaskSure struct {
	Mask       int     // its id
	Confidence float64 // in [0,1]; 0 where nothing of it is left, or it came across a cut
	Breaks     follow.Breaks
}

// sureOf returns those of a frame's outlines.
func sureOf(outlines []render.Outline) (all []MaskSure) {
	for _, o := range outlines {
		if o.Found != nil && o.Layer.Stretch != nil {
			all = append(all, MaskSure{o.Mask, o.Confidence, o.Breaks})
		}
	}
	return all
}

// A Crossing is where the subject may cross a mask's outline.
type Crossing = render.Crossing

// Leak is the larger of Band and Dropped; nil where there is neither.
func (f Frame) Leak() *float64 {
	if f.Band != nil && (f.Dropped == nil || *f.Band > *f.Dropped) {
		return f.Band
	}
	return f.Dropped
}

func pointer(v float64) *float64 { return &v }

// Order puts frames in the order in which a shot is soon seen as a whole: every
// n-th, then those between. An n below 2 leaves them as they are.
func Order(frames []int, n int) []int {
	if n < 2 {
		return slices.Clone(frames)
	}
	out := make([]int, 0, len(frames))
	for i := 0; i < len(frames); i += n {
		out = append(out, frames[i])
	}
	for i, f := range frames {
		if i%n != 0 {
			out = append(out, f)
		}
	}
	return out
}

// before reports whether frame n has a predecessor in the shot.
func (s *Shot) before(n int) bool {
	_, ok := slices.BinarySearch(s.Frames, n-1)
	return ok
}

// Key returns what a frame's figures depend on: equal keys mean equal figures, as
// long as the source stays.
func (s *Shot) Key(frame int) string { return s.key(frame, s.dabsKey()) }

// key is Key, given dabsKey.
func (s *Shot) key(frame int, dabs string) string {
	h := sha256.New()
	fmt.Fprintf(h, "figures of %s dabs %s factor %d\n", s.Study.DigestGraded(frame, s.Settings), dabs, max(s.Factor, 1))
	if s.Carry {
		fmt.Fprintln(h, "carried")
	}
	if s.before(frame) {
		fmt.Fprintf(h, "after %s\n", s.Study.DigestOf(frame-1, s.Settings))
	}
	return hex.EncodeToString(h.Sum(nil))
}

// dabsKey returns what the plane between the dabs depends on.
func (s *Shot) dabsKey() string {
	return study.DigestDabs(s.Dabs, s.Study.DigestShown) + fmt.Sprintf(" smooth %t", s.Settings.Pick.Smooth)
}

// runLength is the most frames that a worker takes at a time: of frames in a row
// each is rendered once, but for the one before the first.
const runLength = 12

// runs cuts an order in pieces of frames that follow each other.
func runs(order []int) (out [][]int) {
	for i := 0; i < len(order); {
		end := i + 1
		for end < len(order) && end-i < runLength && order[end] == order[end-1]+1 {
			end++
		}
		out = append(out, order[i:end])
		i = end
	}
	return out
}

// Each judges the frames of order, which are some of s.Frames in any order, and
// calls done with each: one call at a time, roughly in that order, none after
// Each returned; those whose figures are kept come first. Frames are taken in runs of up to 12 that follow each other in
// order; for the first of a run the frame before it is rendered as well. A frame
// that cannot be read or rendered comes with its error, and the next differs from
// nothing. Each returns an error when ctx ends, or where the shot is out of order.
//
// A worker's renderer keeps up to 48 bytes a pixel of the frame, beside what it is
// making; of the frame before, its matte and picture stay, 16 bytes a pixel.
func (s *Shot) Each(ctx context.Context, order []int, done func(Frame)) error {
	for _, n := range order {
		if _, ok := slices.BinarySearch(s.Frames, n); !ok {
			return fmt.Errorf("shot: frame %d is not one of the shot's", n)
		}
	}
	keep := s.keeper()
	if order = s.loadKept(ctx, keep, order, done); len(order) == 0 && keep != nil {
		return nil
	}
	j, err := s.prepare(ctx)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	var mu sync.Mutex
	var first error
	give := func(f Frame) {
		mu.Lock()
		defer mu.Unlock()
		if ctx.Err() == nil {
			keep.save(f)
			done(f)
		}
	}
	pieces := runs(order)
	// One strip is one run of frames.
	workers := s.Workers
	if s.Renderer != nil {
		workers = 1
	}
	err = colour.EachStrip(ctx, workers, len(pieces), 1, func(i, _ int) {
		if err := j.run(ctx, pieces[i], give); err != nil {
			mu.Lock()
			defer mu.Unlock()
			if first == nil {
				first = err
			}
			cancel()
		}
	})
	if first != nil {
		return first
	}
	if err != nil {
		return fmt.Errorf("shot: %w", err)
	}
	return nil
}
