package ui

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/storage"

	"halocline/app/clip"
	"halocline/app/desk"
	"halocline/app/study"
)

// pictureEndings are what the names of pictures end in, to choose among;
// footageEndings those of studies, pictures and movies. Any file may be dropped on
// the window.
var pictureEndings = []string{".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp", ".PNG", ".JPG", ".JPEG", ".TIF", ".TIFF"}

var footageEndings = func() []string {
	all := append([]string{study.Ending}, pictureEndings...)
	for _, e := range clip.MovieEndings() {
		all = append(all, e, strings.ToUpper(e))
	}
	return all
}()

func (w *window) chooseToOpen() { w.pick(footageEndings, w.askToOpen) }

func (w *window) chooseTruth() {
	w.pick(pictureEndings, func(path string) {
		plane, _, err := clip.ReadGrey(context.Background(), path)
		if err != nil {
			w.report(desk.Problem{What: "No true matte: " + filepath.Base(path), ToDo: "A grey picture of the frame's size is wanted, white where the thing is.", Err: err})
			return
		}
		info := w.desk.Work.Clip.Info()
		if plane.W != info.Width || plane.H != info.Height {
			w.report(desk.Problem{What: "No true matte: " + filepath.Base(path), ToDo: "It must have the frame's size.", Err: fmt.Errorf("%s is %d x %d pixels, want %d x %d", path, plane.W, plane.H, info.Width, info.Height)})
			return
		}
		w.desk.Set(func() { w.desk.Truth, w.desk.TrueOf, w.desk.TrueAt = &plane, w.desk.MatteID, w.desk.Frame })
	})
}

// pick lets the user choose a file.
func (w *window) pick(endings []string, chosen func(path string)) {
	d := dialog.NewFileOpen(func(r fyne.URIReadCloser, err error) {
		if err != nil || r == nil {
			return
		}
		path := r.URI().Path()
		r.Close()
		chosen(path)
	}, w.win)
	d.SetFilter(storage.NewExtensionFileFilter(endings))
	w.showChooser(d)
}

// pickFolder lets the user choose a folder.
func (w *window) pickFolder(chosen func(path string)) {
	d := dialog.NewFolderOpen(func(u fyne.ListableURI, err error) {
		if err == nil && u != nil {
			chosen(u.Path())
		}
	}, w.win)
	w.showChooser(d)
}

// showChooser shows a chooser as large as the window allows, where the study
// lies.
func (w *window) showChooser(d *dialog.FileDialog) {
	if s := w.desk.Study(); s != nil && !w.desk.Sample {
		if dir, err := storage.ListerForURI(storage.NewFileURI(filepath.Dir(s.Clip.Path))); err == nil {
			d.SetLocation(dir)
		}
	}
	w.chooser = d
	d.SetOnClosed(func() { w.chooser = nil })
	size := w.win.Canvas().Size()
	d.Resize(fyne.NewSize(size.Width*0.8, size.Height*0.8))
	d.Show()
}
