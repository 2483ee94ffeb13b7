package files

import (
	"fmt"
	"halocline/app/cdl"
	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
)

// cdlEndings are what names of files of corrections end in.
var cdlEndings = []string{".cc", ".ccc", ".cdl", ".CC", ".CCC", ".CDL"}

// ChooseCDL asks for a file whose grade the chosen matte's trial is to have.
func (f *Files) ChooseCDL() { f.over.PickFile(cdlEndings, f.ReadCDL) }

// ReadCDL takes the grade of a file; where it has several, the user chooses.
func (f *Files) ReadCDL(path string) {
	all, err := cdl.Read(path)
	if err == nil && len(all) == 0 {
		err = fmt.Errorf("%s has no correction", path)
	}
	switch {
	case err != nil:
		f.with.Messages.Report(desk.Problem{What: "No grade: " + filepath.Base(path), ToDo: "A file of the ASC CDL is wanted: .cc, .ccc or .cdl.", Err: err})
	case len(all) == 1:
		f.desk.TakeCDL(all[0])
	default:
		f.chooseCorrection(path, all)
	}
}

// chooseCorrection lets the user choose one correction of several by its id.
func (f *Files) chooseCorrection(path string, all []cdl.Correction) {
	var lines []sheets.Line
	for i, c := range all {
		text := look.NewLabel(correctionLine(i, c), look.Style{Size: look.BodySize, Colour: look.Text})
		lines = append(lines, sheets.Line{Content: text, Hint: "Take this one", Run: func() { f.desk.TakeCDL(c) }})
	}
	about := fmt.Sprintf("%s has %d corrections. Press the one that this matte's trial is to have.", filepath.Base(path), len(all))
	f.over.List("Choose a correction", about, lines, fyne.NewSize(560, 420), "Cancel")
}

// correctionLine says which correction it is: its number, id, note and grade.
func correctionLine(i int, c cdl.Correction) string {
	text := fmt.Sprintf("%d", i+1)
	if c.ID != "" {
		text += "  " + c.ID
	}
	if note, _, _ := strings.Cut(c.Note, "\n"); note != "" {
		text += "  –  " + note
	}
	return fmt.Sprintf("%s  (slope %.2f %.2f %.2f, saturation %.2f)", text, c.CDL.Slope[0], c.CDL.Slope[1], c.CDL.Slope[2], c.CDL.Saturation)
}

// WriteCDL asks where the trial, as it is on the frame shown, is to be
// written as a CDL file.
func (f *Files) WriteCDL() {
	m := f.desk.Matte()
	if m == nil {
		return
	}
	one := cdl.Correction{ID: m.Name, Note: m.Note, CDL: m.Trial.At(f.desk.Frame).CDL()}
	dir, _ := sheets.SuggestedPlace(f.desk)
	f.over.AskPlace(sheets.Place{
		Title: "Write a CDL file", About: "Slope, offset, power and saturation as they are on this frame: .cc, .ccc or .cdl.",
		Label: "Write", Dir: dir, Name: study.SafeName(m.Name) + ".cc", Kind: "file", Endings: cdlEndings,
		Take: func(path string) error {
			if err := cdl.Write(path, []cdl.Correction{one}); err != nil {
				return err
			}
			f.with.Status.Note("written: " + path)
			return nil
		},
	})
}
