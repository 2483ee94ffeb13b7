package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/clip"
	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/judge"
	"halocline/app/ui/look"
	"halocline/app/ui/timeline"
	"halocline/mask"
)

// A timeArea stands under the viewer while a clip of several frames is open: it
// shows where in time the window is, and the keys of the chosen matte.
type timeArea struct {
	w       *window
	area    *timeline.Area
	of      *clip.Clip   // that is shown
	keysOf  *study.Study // whose lanes are shown
	lanesOf laneState    // and how
	notesOf int          // the matte that the strip is about
	unread  map[int]bool // frames that could not be read
	high    float32      // what the area needed when the window was laid out
	all     *fyne.Container
}

// A laneState is what lanes depend on besides the study.
type laneState struct {
	matte, mask int
	reach       mask.Reach
	frame       int // where edits reach some keys alone
}

func newTimeArea(w *window) *timeArea {
	t := &timeArea{w: w, area: timeline.New()}
	a := t.area
	a.OnSeek, a.OnKeyMove, a.OnKeyAdd, a.OnKeyDelete = w.desk.Seek, w.desk.MoveKey, w.desk.AddKey, w.desk.RemoveKey
	a.OnChoose, a.OnInOut = w.desk.ChooseLane, func(in, out int, _ study.Phase) { w.desk.SetEnds(in, out) }
	a.OnHint, a.OnPlay, a.PlayKey = w.status.Hint, func() { w.turnPlay(false) }, w.keyOf("Play")
	t.all = container.New(timeRows{t}, a)
	t.all.Hide()
	return t
}

// Lanes shown at once in a low and in a high window; more scroll.
const lowRows, highRows = 2, 4

// timeRows lets a high window show more lanes.
type timeRows struct{ t *timeArea }

func (l timeRows) MinSize(o []fyne.CanvasObject) fyne.Size {
	rows := lowRows
	if l.t.w.win.Canvas().Size().Height >= judge.TallFrom {
		rows = highRows
	}
	l.t.area.SetRows(rows)
	return o[0].MinSize()
}

func (timeRows) Layout(o []fyne.CanvasObject, s fyne.Size) { o[0].Resize(s) }

// overFoot lays the first object over the second, which has the height it needs
// while it is shown.
type overFoot struct{}

func (overFoot) MinSize(o []fyne.CanvasObject) fyne.Size { return o[0].MinSize() }

func (overFoot) Layout(o []fyne.CanvasObject, s fyne.Size) {
	high := float32(0)
	if o[1].Visible() {
		high = o[1].MinSize().Height
	}
	o[0].Resize(fyne.NewSize(s.Width, s.Height-high))
	o[1].Move(fyne.NewPos(0, s.Height-high))
	o[1].Resize(fyne.NewSize(s.Width, high))
}

func (t *timeArea) object() fyne.CanvasObject { return t.all }

func (t *timeArea) display() {
	w := t.w
	if c := w.desk.Clip(); c != t.of {
		t.take(c)
	}
	look.Show(t.all, w.desk.Several())
	if w.desk.Several() {
		t.showLanes()
		if t.notesOf != w.desk.MatteID {
			t.notesOf = w.desk.MatteID
			v := w.desk.Verdict()
			t.area.SetNotes(notesOf(v.Judged, v.Findings))
		}
		t.area.SetFrame(w.desk.Frame)
		t.area.SetInOut(w.desk.Ends[0], w.desk.Ends[1])
	}
	t.settle()
}

// settle moves what lies above once the area needs another height.
func (t *timeArea) settle() {
	high := float32(0)
	if t.all.Visible() {
		high = t.all.MinSize().Height
	}
	if high != t.high {
		t.high = high
		t.w.body.Refresh()
	}
}

// take shows other footage.
func (t *timeArea) take(c *clip.Clip) {
	t.of, t.keysOf, t.unread = c, nil, map[int]bool{}
	if c == nil {
		return
	}
	rate := t.w.desk.Study().Clip.Rate
	t.area.SetClip(timeline.Clip{Frames: c.Frames(), Rate: timeline.Rate{Num: rate[0], Den: rate[1]}, Unread: t.unread})
}

// cannotRead marks a frame on the ruler.
func (t *timeArea) cannotRead(frame int) {
	if !t.unread[frame] {
		t.unread[frame] = true
		t.area.SetUnread(t.unread)
	}
}

// canRead takes the mark back.
func (t *timeArea) canRead(frame int) {
	if t.unread[frame] {
		delete(t.unread, frame)
		t.area.SetUnread(t.unread)
	}
}

// showLanes shows the keys of the chosen matte, where something of them has
// changed.
func (t *timeArea) showLanes() {
	d := t.w.desk
	state := laneState{matte: d.MatteID, mask: d.MaskID}
	if t.w.desk.MovesMany() {
		state.reach, state.frame = d.Reach, d.Frame
	}
	if t.keysOf == d.Study() && t.lanesOf == state {
		return
	}
	t.keysOf, t.lanesOf = d.Study(), state
	t.area.SetLanes(t.w.lanes())
}

// lanes are a row for each mask of the chosen matte, and one for its values and
// the base's where some of them change over time.
func (w *window) lanes() (all []timeline.Lane) {
	if m := w.desk.Matte(); m != nil {
		all = w.maskLanes(m)
	}
	if keys := w.valueKeys(); len(keys) > 0 {
		all = append(all, timeline.Lane{ID: desk.ValuesLane, Name: "values", Kind: timeline.Values, Keys: keys})
	}
	return all
}

// valueKeys are the keys of all values that change over time.
func (w *window) valueKeys() (all []timeline.Key) {
	for _, v := range w.desk.KeyedValues() {
		for _, k := range v.Keys {
			all = append(all, timeline.Key{Frame: k.Frame, Way: laneWay(k.Way)})
		}
	}
	slices.SortStableFunc(all, func(a, b timeline.Key) int { return a.Frame - b.Frame })
	return slices.CompactFunc(all, func(a, b timeline.Key) bool { return a.Frame == b.Frame })
}

func (w *window) maskLanes(m *study.Matte) (all []timeline.Lane) {
	for i := range m.Masks {
		t := &m.Masks[i]
		l := timeline.Lane{
			ID: t.ID, Name: t.Name, Chosen: t.ID == w.desk.MaskID, Off: t.Off,
			In: timeline.Bound(t.In), Out: timeline.Bound(t.Out),
		}
		if t.Kind == study.Drop {
			l.Kind = timeline.Drop
		}
		for _, k := range t.Keys {
			l.Keys = append(l.Keys, timeline.Key{Frame: k.Frame, Way: laneWay(k.Way), Reached: w.desk.Reaches(t.ID, k.Frame)})
		}
		all = append(all, l)
	}
	return all
}

func laneWay(w mask.Way) timeline.Way {
	switch w {
	case mask.Step:
		return timeline.Step
	case mask.Curved:
		return timeline.Curved
	}
	return timeline.Straight
}
