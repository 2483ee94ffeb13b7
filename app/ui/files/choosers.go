package files

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"halocline/app/clip"
	"halocline/app/desk"
	"halocline/app/study"
)

// pictureEndings are what the names of pictures end in, to choose among; clipEndings
// those of pictures and movies, footageEndings of studies besides. Any file may be
// dropped on the window.
var pictureEndings = []string{".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp", ".PNG", ".JPG", ".JPEG", ".TIF", ".TIFF"}

var clipEndings = func() []string {
	all := slices.Clone(pictureEndings)
	for _, e := range clip.MovieEndings() {
		all = append(all, e, strings.ToUpper(e))
	}
	return all
}()

var footageEndings = append([]string{study.Ending}, clipEndings...)

// ChooseToOpen lets the user choose what to open.
func (f *Files) ChooseToOpen() { f.over.PickFile(footageEndings, f.AskToOpen) }

// CarryOn lets the user choose clips that the study is carried to.
func (f *Files) CarryOn() { f.over.OpenCarry(clipEndings, f.AskToOpen) }

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
