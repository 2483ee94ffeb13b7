package timebar

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/clip"
	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/journal"
	"halocline/app/ui/look"
	"halocline/app/ui/timeline"
	"halocline/mask"
)

// A Status is the row that says what goes on; "" says nothing of a kind.
type Status interface {
	Playing(how string)  // how the clip plays
	Reading(what string) // what is being read to be shown
	Hint(words string)   // what a press on the bar would do
}

// A Menu is the table of what can be asked for.
type Menu interface {
	KeyOf(label string) string // an action's key in words
	Display()                  // shows what can be done now
}

// Parts are what a Bar works with; none is left out but the journal.
type Parts struct {
	Canvas  fyne.Canvas // of the window
	Preview *watch.Preview
	Status  Status
	Menu    Menu
	Journal *journal.Journal

	Ask    func(draft bool) // asks for the picture of the frame shown
	Passed func()           // shows the frame's number while frames pass by
	Relay  func()           // lays out what stands above, once the bar needs another height
}

// A Bar stands under the viewer while a clip of several frames is open: it shows
// where in time the window is, and the keys of the chosen matte.
type Bar struct {
	Player *Player

	desk    *desk.Desk
	with    Parts
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

// New is a bar for what is on the desk; Display shows it.
func New(d *desk.Desk, with Parts) *Bar {
	b := &Bar{desk: d, with: with, area: timeline.New()}
	b.Player = newPlayer(b)
	a := b.area
	a.OnSeek, a.OnKeyMove, a.OnKeyAdd, a.OnKeyDelete = d.Seek, d.MoveKey, d.AddKey, d.RemoveKey
	a.OnChoose, a.OnInOut = d.ChooseLane, d.SlideEnds
	a.OnHint, a.OnPlay, a.PlayKey = with.Status.Hint, func() { b.Player.Turn(false) }, with.Menu.KeyOf("Play")
	b.all = container.New(timeRows{b}, a)
	b.all.Hide()
	return b
}

// Lanes shown at once in a low and in a high window; more scroll.
const lowRows, highRows = 2, 4

// timeRows lets a high window show more lanes.
type timeRows struct{ b *Bar }

func (l timeRows) MinSize(o []fyne.CanvasObject) fyne.Size {
	rows := lowRows
	if l.b.with.Canvas.Size().Height >= look.TallFrom {
		rows = highRows
	}
	l.b.area.SetRows(rows)
	return o[0].MinSize()
}

func (timeRows) Layout(o []fyne.CanvasObject, s fyne.Size) { o[0].Resize(s) }

// Object is what stands under the viewer; it is hidden while a still is open.
func (b *Bar) Object() fyne.CanvasObject { return b.all }

// Display shows what the desk has.
func (b *Bar) Display() {
	if c := b.desk.Clip(); c != b.of {
		b.take(c)
	}
	look.Show(b.all, b.desk.Several())
	if b.desk.Several() {
		b.area.SetRate(b.rate())
		b.showLanes()
		if b.notesOf != b.desk.MatteID {
			b.notesOf = b.desk.MatteID
			b.area.SetNotes(Notes(b.desk.Verdict()))
		}
		b.area.SetFrame(b.desk.Frame)
		b.area.SetInOut(b.desk.Ends[0], b.desk.Ends[1])
	}
	b.settle()
}

// settle moves what lies above once the area needs another height.
func (b *Bar) settle() {
	high := float32(0)
	if b.all.Visible() {
		high = b.all.MinSize().Height
	}
	if high != b.high {
		b.high = high
		b.with.Relay()
	}
}

// take shows other footage.
func (b *Bar) take(c *clip.Clip) {
	b.of, b.keysOf, b.unread = c, nil, map[int]bool{}
	if c == nil {
		return
	}
	b.area.SetClip(timeline.Clip{Frames: c.Frames(), Rate: b.rate(), Unread: b.unread})
}

// rate is the clip's, as the study has it.
func (b *Bar) rate() timeline.Rate {
	rate := b.desk.Study().Clip.Rate
	return timeline.Rate{Num: rate[0], Den: rate[1]}
}

// CannotRead marks a frame on the ruler.
func (b *Bar) CannotRead(frame int) {
	if !b.unread[frame] {
		b.unread[frame] = true
		b.area.SetUnread(b.unread)
	}
}

// CanRead takes the mark back.
func (b *Bar) CanRead(frame int) {
	if b.unread[frame] {
		delete(b.unread, frame)
		b.area.SetUnread(b.unread)
	}
}

// Unread reports whether a frame has the mark.
func (b *Bar) Unread(frame int) bool { return b.unread[frame] }

// showLanes shows the keys of the chosen matte, where something of them has
// changed.
func (b *Bar) showLanes() {
	d := b.desk
	state := laneState{matte: d.MatteID, mask: d.MaskID}
	if d.MovesMany() {
		state.reach, state.frame = d.Reach, d.Frame
	}
	if b.keysOf == d.Study() && b.lanesOf == state {
		return
	}
	b.keysOf, b.lanesOf = d.Study(), state
	b.area.SetLanes(Lanes(d))
}

// ShowSure shows in the lanes how sure followed outlines are, once more is known of that.
func (b *Bar) ShowSure() {
	if m := b.desk.Matte(); m != nil && slices.ContainsFunc(m.Masks, func(o study.Mask) bool { return o.Follows() }) {
		b.area.SetLanes(Lanes(b.desk))
	}
}
