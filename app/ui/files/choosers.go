package files

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

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

// ChooseToOpen lets the user choose what to open.
func (f *Files) ChooseToOpen() { f.over.PickFile(footageEndings, f.AskToOpen) }

// ChooseTruth lets the user choose a true matte of the frame shown, to judge by.
func (f *Files) ChooseTruth() {
	f.over.PickFile(pictureEndings, func(path string) {
		plane, _, err := clip.ReadGrey(context.Background(), path)
		if err != nil {
			f.with.Messages.Report(desk.Problem{What: "No true matte: " + filepath.Base(path), ToDo: "A grey picture of the frame's size is wanted, white where the thing is.", Err: err})
			return
		}
		info := f.desk.Work.Clip.Info()
		if plane.W != info.Width || plane.H != info.Height {
			f.with.Messages.Report(desk.Problem{What: "No true matte: " + filepath.Base(path), ToDo: "It must have the frame's size.", Err: fmt.Errorf("%s is %d x %d pixels, want %d x %d", path, plane.W, plane.H, info.Width, info.Height)})
			return
		}
		f.desk.Set(func() { f.desk.Truth, f.desk.TrueOf, f.desk.TrueAt = &plane, f.desk.MatteID, f.desk.Frame })
	})
}
