package ui

import (
	"fmt"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"

	"halocline/app/cdl"
	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/frame"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
)

// trialActions are those of the table that are about the trial, and about how a
// matte does in Pick.
func (w *window) trialActions() []*action {
	d := w.desk
	matte := func() bool { return d.Matte() != nil }
	return []*action{
		{menu: "Matte", label: "Trial on", enabled: matte, group: true, checked: func() bool { return matte() && !d.Matte().Trial.Off }, run: w.turnTrial},
		{menu: "Matte", label: desk.ResetTrialLabel, enabled: matte, run: w.desk.ResetTrial},
		{menu: "Matte", label: "Read a CDL file…", enabled: matte, run: w.chooseCDL},
		{menu: "Matte", label: "Write a CDL file…", enabled: matte, run: w.askToWriteCDL},
		{menu: "Matte", label: "Soften to least misfit", enabled: w.desk.CanSoftenBest, run: w.desk.SoftenBest},
		{menu: "View", label: "Separation of the dabs", key: fyne.KeyP, enabled: matte, group: true, checked: func() bool { return d.Step == desk.StepPick && d.ShowSeparation }, run: w.desk.ToggleSeparation},
		{menu: "View", label: "Misclassified pixels of the dabs", key: fyne.KeyP, mods: shift, enabled: matte, checked: func() bool { return d.ShowMisclassified }, run: w.desk.ToggleMisclassified},
		{menu: "View", label: "Where the edge shows", key: frame.BypassKey, mods: shift, enabled: matte, checked: func() bool { return d.ShowSeam && desk.SeamSteps[d.Step] }, run: w.desk.ToggleSeam},
	}
}

func (w *window) turnTrial() { w.desk.TurnTrial(w.desk.Matte().Trial.Off) }

// cdlEndings are what names of files of corrections end in.
var cdlEndings = []string{".cc", ".ccc", ".cdl", ".CC", ".CCC", ".CDL"}

func (w *window) chooseCDL() { w.sheets.PickFile(cdlEndings, w.readCDL) }

// readCDL takes the grade of a file; where it has several, the user chooses.
func (w *window) readCDL(path string) {
	all, err := cdl.Read(path)
	if err == nil && len(all) == 0 {
		err = fmt.Errorf("%s has no correction", path)
	}
	switch {
	case err != nil:
		w.report(desk.Problem{What: "No grade: " + filepath.Base(path), ToDo: "A file of the ASC CDL is wanted: .cc, .ccc or .cdl.", Err: err})
	case len(all) == 1:
		w.desk.TakeCDL(all[0])
	default:
		w.chooseCorrection(path, all)
	}
}

// chooseCorrection lets the user choose one correction of several by its id.
func (w *window) chooseCorrection(path string, all []cdl.Correction) {
	var lines []sheets.Line
	for i, c := range all {
		text := look.NewLabel(correctionLine(i, c), look.Style{Size: look.BodySize, Colour: look.Text})
		lines = append(lines, sheets.Line{Content: text, Hint: "Take this one", Run: func() { w.desk.TakeCDL(c) }})
	}
	about := fmt.Sprintf("%s has %d corrections. Press the one that this matte's trial is to have.", filepath.Base(path), len(all))
	w.sheets.List("Choose a correction", about, lines, fyne.NewSize(560, 420), "Cancel")
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

// askToWriteCDL asks where the trial, as it is on the frame shown, is to be
// written as a CDL file.
func (w *window) askToWriteCDL() {
	m := w.desk.Matte()
	if m == nil {
		return
	}
	one := cdl.Correction{ID: m.Name, Note: m.Note, CDL: m.Trial.At(w.desk.Frame).CDL()}
	dir, _ := sheets.SuggestedPlace(w.desk)
	w.sheets.AskPlace(sheets.Place{
		Title: "Write a CDL file", About: "Slope, offset, power and saturation as they are on this frame: .cc, .ccc or .cdl.",
		Label: "Write", Dir: dir, Name: study.SafeName(m.Name) + ".cc", Kind: "file", Endings: cdlEndings,
		Take: func(path string) error {
			if err := cdl.Write(path, []cdl.Correction{one}); err != nil {
				return err
			}
			w.status.Note("written: " + path)
			return nil
		},
	})
}
