package proofs

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
)

// A foot says how the pictures are moved and how far the work is, and writes
// sheet and figures.
type foot struct {
	p       *Sheet
	hint    *look.Label
	count   *look.Label
	status  fyne.CanvasObject
	buttons fyne.CanvasObject
	writing fyne.CanvasObject // where a file's name is asked for
	path    *look.Entry
	write   *look.Button
	made    func(path string) error // writes what is asked for
	asked   string                  // the path whose replacement was asked about
	said    string
	all     fyne.CanvasObject
}

func newFoot(p *Sheet) *foot {
	f := &foot{p: p}
	second := look.Style{Size: look.SmallSize, Colour: look.Second}
	f.hint = look.NewLabel("", second)
	f.count = look.NewLabel("", second)
	keys := second
	keys.Align = fyne.TextAlignTrailing
	f.status = container.NewGridWithColumns(2, f.count, look.NewLabel("Arrows: choose. Enter: use. Nothing changes in the study before that.", keys))
	sheet := look.NewButton("Sheet as PNG", func() { f.ask("-proofs.png", p.writeSheet) })
	sheet.SetHint("Write the pictures with their figures as one picture")
	table := look.NewButton("Figures as CSV", func() { f.ask("-proofs.csv", p.writeTable) })
	table.SetHint("Write the figures as a table")
	done := look.NewButton("Close", func() { p.sheet.Close() })
	f.buttons = look.HBox(8, sheet, table, done)
	f.path = look.NewEntry("file", "Where the file goes", nil)
	f.path.OnSubmitted(f.commit)
	f.path.Typed(func(string) { f.asked = ""; f.write.SetLabel("Write") })
	f.write = look.NewButton("Write", f.commit)
	f.write.Kind = look.Prominent
	back := look.NewButton("Back", f.back)
	f.writing = look.HFill(8, 0, f.path, f.write, back)
	f.writing.Hide()
	f.all = container.New(footLayout{}, f.hint, f.buttons, f.writing)
	return f
}

// footLayout gives the buttons their width at the right, and the file's name most of
// it while it is asked for.
type footLayout struct{}

func (footLayout) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(400, o[1].MinSize().Height)
}

func (footLayout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	right := o[1].MinSize().Width
	if o[2].Visible() {
		right = s.Width * 0.6
	}
	o[0].Resize(fyne.NewSize(s.Width-right-16, s.Height))
	for _, b := range o[1:] {
		b.Move(fyne.NewPos(s.Width-right, 0))
		b.Resize(fyne.NewSize(right, s.Height))
	}
}

// ask asks for the name of a file to be written.
func (f *foot) ask(ending string, made func(path string) error) {
	dir, _ := sheets.SuggestedPlace(f.p.desk)
	name := f.p.study.Clip.Name() + "-" + f.p.matte.Name
	f.path.Set(filepath.Join(dir, study.SafeName(name)+ending))
	f.made, f.asked = made, ""
	f.write.SetLabel("Write")
	f.buttons.Hide()
	f.writing.Show()
	f.all.Refresh()
	f.p.host.Canvas().Focus(f.path.Focusable())
	f.p.host.TellPlaces()
}

// back goes back to the buttons.
func (f *foot) back() {
	f.writing.Hide()
	f.buttons.Show()
	f.all.Refresh()
	f.p.host.Canvas().Focus(f.p.grid)
	f.p.host.TellPlaces()
}

// commit writes the file, after asking where there is one.
func (f *foot) commit() {
	path := strings.TrimSpace(f.path.Now())
	if path == "" {
		f.say("A file's name is wanted")
		return
	}
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) && path != f.asked {
		f.asked = path
		f.write.SetLabel("Replace")
		f.say("There is a file of that name. Press again to replace it.")
		return
	}
	if err := f.made(path); err != nil {
		f.say(sheets.Plain(err))
		return
	}
	f.back()
}

// wrote says that a file was written, or why not.
func (f *foot) wrote(path string, err error) {
	if err != nil {
		f.say(sheets.Plain(err))
		return
	}
	f.p.host.Tell("wrote %s", path)
	f.say("Written: " + path)
	f.p.host.TellPlaces()
}

// say says something in place of how pictures are moved, until they are.
func (f *foot) say(text string) {
	f.said = text
	f.display()
}

func (f *foot) display() {
	p := f.p
	text := "Drag any picture to move all; the wheel zooms them together. " + p.percentText()
	if f.said != "" {
		text = f.said
		f.hint.SetColour(look.Text)
	} else {
		f.hint.SetColour(look.Second)
	}
	f.hint.SetText(text)
	n := 0
	for _, g := range p.figures {
		if g.Whole {
			n++
		}
	}
	count := fmt.Sprintf("%d proofs, %d computed", len(p.items), n)
	if p.vp.W >= watch.WideFrame {
		count += ", on every other pixel"
	}
	if p.wrong != nil {
		count += "; " + sheets.Plain(p.wrong)
	}
	f.count.SetText(count)
}
