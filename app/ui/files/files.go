package files

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/journal"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
	"halocline/app/work"
)

// A Status is the row that says what goes on.
type Status interface {
	Busy(what string) // what long work is under way; "" for none
	Note(text string) // what was done
}

// Messages are shown in place of one another.
type Messages interface {
	Report(p desk.Problem, buttons ...*look.Button)
	Ask(what, todo string, buttons ...*look.Button)
	Hide()
}

// A Menu has an item for each file that was opened last.
type Menu interface {
	ShowRecent(items []*fyne.MenuItem)
}

// A Picture shows frames.
type Picture interface {
	SetPicture(width, height int) // in pixels
}

// A Player plays the clip.
type Player interface {
	End() bool // reports whether it played
}

// Parts are what Files work with; Sized and Journal may be nil.
type Parts struct {
	Kept     fyne.Preferences // where the names of files are kept from run to run
	Status   Status
	Messages Messages
	Menu     Menu
	Picture  Picture
	Player   Player
	Journal  *journal.Journal
	Sized    func(pixels int) // told of each frame size before it is opened
}

// Files open and save what is on the desk.
type Files struct {
	desk   *desk.Desk
	over   *sheets.Sheets
	with   Parts
	recent *recent
	opens  int // how many files were asked for: of several the last one is opened
}

// New returns the files of a desk, with nothing open. What they ask lies over the window.
func New(d *desk.Desk, over *sheets.Sheets, with Parts) *Files {
	f := &Files{desk: d, over: over, with: with}
	f.recent = &recent{kept: with.Kept, menu: with.Menu, open: f.AskToOpen}
	return f
}

// begin takes a work up with a session of it.
func (f *Files) begin(wk *work.Work, s *study.Session) {
	info := wk.Clip.Info()
	if f.with.Sized != nil {
		f.with.Sized(info.Width * info.Height)
	}
	f.desk.Begin(wk, s)
	f.with.Picture.SetPicture(info.Width, info.Height)
	f.desk.Refresh()
}

// Leave ends the session that is open. What is unsaved is given up.
func (f *Files) Leave() {
	f.with.Player.End()
	f.desk.Leave()
}
