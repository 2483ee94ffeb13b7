package ui

import (
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/ui/look"
)

// A placeQuestion asks for a folder and a name to write a file at.
type placeQuestion struct {
	title, about string
	label        string // of the button that writes
	dir, name    string // as they are offered
	kind         string // what of that name may be there already
	own          string // may be replaced without asking; "" for none
	endings      []string
	take         func(path string) error // writes
	done         func()                  // after that; may be nil
}

// path is the file that is meant: the first ending is added where the name has
// none of them.
func (q *placeQuestion) path(dir, name string) string {
	path := filepath.Join(strings.TrimSpace(dir), strings.TrimSpace(name))
	for _, e := range q.endings {
		if strings.EqualFold(filepath.Ext(path), e) {
			return path
		}
	}
	return path + q.endings[0]
}

// askPlace asks, and says what is wrong until the file is written.
func (w *window) askPlace(q placeQuestion) {
	wrong := look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Warn})
	var s *sheet
	folder := look.NewEntry("folder", "Where the file goes", nil)
	folder.Set(q.dir)
	name := look.NewEntry("name", "What the file is called", nil)
	name.Set(q.name)
	write := look.NewButton(q.label, nil)
	write.Kind = look.Prominent
	asked := "" // the path whose replacement was asked about
	commit := func() {
		path := q.path(folder.Now(), name.Now())
		if _, err := os.Lstat(path); err == nil && path != q.own && path != asked {
			asked = path
			wrong.SetText("There is a " + q.kind + " of that name. Press again to replace it.")
			write.SetLabel("Replace")
			return
		}
		if err := q.take(path); err != nil {
			wrong.SetText(err.Error())
			return
		}
		s.close()
		if q.done != nil {
			q.done()
		}
	}
	write.OnTapped(commit)
	name.OnSubmitted(commit)
	choose := look.NewButton("Choose…", func() {
		w.pickFolder(func(path string) { folder.Set(path) })
	})
	cancel := look.NewButton("Cancel", func() { s.close() })
	form := look.VBox(10,
		formRow("Folder", container.NewBorder(nil, nil, nil, look.Pad(8, 0, 0, 0, choose), folder)),
		formRow("Name", name), wrong)
	s = w.openSheet(q.title, q.about, form, fyne.NewSize(640, 290), buttons(nil, cancel, write), name.Focusable())
}
