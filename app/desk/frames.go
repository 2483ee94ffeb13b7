package desk

import (
	"fmt"
	"slices"
	"time"

	"halocline/app/clip"
	"halocline/app/study"
)

// Frames are the numbers of the frames that are there, ascending; none while
// nothing is open.
func (d *Desk) Frames() []int {
	if d.Work == nil || d.Work.Clip == nil {
		return nil
	}
	return d.Work.Clip.Frames()
}

// Several reports whether there is more than one frame.
func (d *Desk) Several() bool { return d.Clip() != nil && d.Clip().Count() > 1 }

// MoveFrame goes so many frames on or back; over gaps, and no farther than the
// ends.
func (d *Desk) MoveFrame(by int) {
	all := d.Frames()
	if len(all) == 0 {
		return
	}
	i, _ := slices.BinarySearch(all, d.Frame)
	d.GoToFrame(all[max(0, min(len(all)-1, i+by))])
}

// GoToFrame shows a frame of the footage by the source's number. Playing ends, and an
// edit in the making is given up.
func (d *Desk) GoToFrame(n int) {
	if n == d.Frame {
		return
	}
	d.EndPlay()
	d.CancelDrag()
	d.Moved, d.Going, d.Frame = time.Now(), true, n
	d.Refresh()
}

// Seek follows the playhead. While it is dragged, Sought tells alone: what depends on
// the frame besides the picture comes when the hand rests.
func (d *Desk) Seek(n int, p study.Phase) {
	d.EndPlay()
	d.CancelDrag()
	d.Frame, d.Moved = n, time.Now()
	if p == study.Moved {
		d.Scrubbing = true
		d.askOutlines() // for none
		d.Sought()
		return
	}
	d.Going, d.Scrubbing = !d.Scrubbing, false
	d.Refresh()
}

// SetEnds says which part of the clip plays and is exported first: from one frame to
// another, in either order. It can be undone.
func (d *Desk) SetEnds(in, out int) { d.SlideEnds(in, out, study.Done) }

// SlideEnds is SetEnds for a drag, which can be undone as one.
func (d *Desk) SlideEnds(in, out int, p study.Phase) {
	before := d.Ends
	if d.endsBefore != nil {
		before = *d.endsBefore
	}
	d.Ends = [2]int{min(in, out), max(in, out)}
	d.endsBefore = nil
	if p == study.Moved {
		d.endsBefore = &before
	}
	if p == study.Done && before != d.Ends && d.Session != nil {
		d.Session.Beside("Part in work", func() { d.Ends, before = before, d.Ends })
	}
	d.Refresh()
}

// BeginHere makes the frame shown the first of the part in work; a last one before it
// gives way.
func (d *Desk) BeginHere() { d.SetEnds(d.Frame, max(d.Frame, d.Ends[1])) }

// EndHere makes the frame shown the last of the part in work; a first one after it gives
// way.
func (d *Desk) EndHere() { d.SetEnds(min(d.Frame, d.Ends[0]), d.Frame) }

// PartOnly reports whether the part in work is less than the clip.
func (d *Desk) PartOnly() bool {
	all := d.Frames()
	return len(all) > 1 && d.Ends != [2]int{all[0], all[len(all)-1]}
}

// PartSpans are the frames that are there of the part in work. Something must be open.
func (d *Desk) PartSpans() (spans []clip.Span) {
	in, out := d.Ends[0], d.Ends[1]
	for _, s := range d.Clip().Spans() {
		if s.To >= in && s.From <= out {
			spans = append(spans, clip.Span{From: max(s.From, in), To: min(s.To, out)})
		}
	}
	return spans
}

// WholeClip makes the whole clip the part in work. Something must be open.
func (d *Desk) WholeClip() {
	all := d.Frames()
	d.SetEnds(all[0], all[len(all)-1])
}

// FrameText says which frame is shown, of how many; "" for a still.
func (d *Desk) FrameText() string {
	if !d.Several() {
		return ""
	}
	all := d.Frames()
	return fmt.Sprintf("frame %d of %d–%d", d.Frame, all[0], all[len(all)-1])
}

// Clip is the footage that is open; nil for none.
func (d *Desk) Clip() *clip.Clip {
	if d.Work == nil {
		return nil
	}
	return d.Work.Clip
}

// ChooseLane chooses the mask of a lane.
func (d *Desk) ChooseLane(id int) {
	if m := d.Matte(); m != nil && slices.ContainsFunc(m.Masks, func(o study.Mask) bool { return o.ID == id }) {
		d.Set(func() { d.MaskID = id })
	}
}

// IsMovie reports whether what is open is a movie, whose codes may be read in
// another way than its tags say.
func (d *Desk) IsMovie() bool {
	return d.Session != nil && d.Work.Clip.IsMovie()
}

// HasRate reports whether what is open has a frame rate: a still has none.
func (d *Desk) HasRate() bool {
	s := d.Study()
	return s != nil && s.Clip.Rate != [2]int{}
}
