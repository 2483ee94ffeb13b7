package sheets

import (
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"
)

// PickFile lets the user choose a file whose name has one of some endings.
func (s *Sheets) PickFile(endings []string, chosen func(path string)) {
	d := dialog.NewFileOpen(func(r fyne.URIReadCloser, err error) {
		if err != nil || r == nil {
			return
		}
		path := r.URI().Path()
		r.Close()
		chosen(path)
	}, s.win)
	d.SetFilter(storage.NewExtensionFileFilter(endings))
	s.showChooser(d)
}

// PickFolder lets the user choose a folder.
func (s *Sheets) PickFolder(chosen func(path string)) {
	d := dialog.NewFolderOpen(func(u fyne.ListableURI, err error) {
		if err == nil && u != nil {
			chosen(u.Path())
		}
	}, s.win)
	s.showChooser(d)
}

// showChooser shows a chooser as large as the window allows, where the study lies.
func (s *Sheets) showChooser(d *dialog.FileDialog) {
	if now := s.desk.Study(); now != nil && !s.desk.Sample {
		if dir, err := storage.ListerForURI(storage.NewFileURI(filepath.Dir(now.Clip.Path))); err == nil {
			d.SetLocation(dir)
		}
	}
	s.chooser = d
	d.SetOnClosed(func() { s.chooser = nil })
	size := s.win.Canvas().Size()
	d.Resize(fyne.NewSize(size.Width*0.8, size.Height*0.8))
	d.Show()
}
