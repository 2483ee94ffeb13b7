package sheets

import (
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// A Place asks for a folder and a name to write a file at.
type Place struct {
	Title, About string
	Label        string // of the button that writes
	Dir, Name    string // as they are offered
	Kind         string // what of that name may be there already
	Own          string // may be replaced without asking; "" for none
	Endings      []string
	Take         func(path string) error // writes
	Done         func()                  // after that; may be nil
}

// path is the file that is meant: the first ending is added where the name has
// none of them.
func (p *Place) path(dir, name string) string {
	path := filepath.Join(strings.TrimSpace(dir), strings.TrimSpace(name))
	for _, e := range p.Endings {
		if strings.EqualFold(filepath.Ext(path), e) {
			return path
		}
	}
	return path + p.Endings[0]
}

// AskPlace asks, and says what is wrong until the file is written.
func (s *Sheets) AskPlace(p Place) {
	wrong := look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Warn})
	var sheet *Sheet
	folder := look.NewEntry("folder", "Where the file goes", nil)
	folder.Set(p.Dir)
	name := look.NewEntry("name", "What the file is called", nil)
	name.Set(p.Name)
	write := look.NewButton(p.Label, nil)
	write.Kind = look.Prominent
	asked := "" // the path whose replacement was asked about
	commit := func() {
		path := p.path(folder.Now(), name.Now())
		if _, err := os.Lstat(path); err == nil && path != p.Own && path != asked {
			asked = path
			wrong.SetText("There is a " + p.Kind + " of that name. Press again to replace it.")
			write.SetLabel("Replace")
			return
		}
		if err := p.Take(path); err != nil {
			wrong.SetText(desk.OneLine(err, lineLength))
			return
		}
		sheet.Close()
		if p.Done != nil {
			p.Done()
		}
	}
	write.OnTapped(commit)
	name.OnSubmitted(commit)
	choose := look.NewButton("Choose…", func() {
		s.PickFolder(func(path string) { folder.Set(path) })
	})
	cancel := look.NewButton("Cancel", func() { sheet.Close() })
	form := look.VBox(10,
		formRow("Folder", container.NewBorder(nil, nil, nil, look.Pad(8, 0, 0, 0, choose), folder)),
		formRow("Name", name), wrong)
	sheet = s.Open(p.Title, p.About, form, fyne.NewSize(640, 290), Buttons(nil, cancel, write), name.Focusable())
}

// SuggestedPlace is where a study would be saved: beside its picture.
func SuggestedPlace(d *desk.Desk) (dir, name string) {
	path := d.Session.Path()
	if path == "" {
		clip := d.Study().Clip
		path = filepath.Join(filepath.Dir(clip.Path), clip.Name()+study.Ending)
	}
	if d.Sample {
		if home, err := os.UserHomeDir(); err == nil {
			return home, "sample" + study.Ending
		}
	}
	return filepath.Dir(path), filepath.Base(path)
}
