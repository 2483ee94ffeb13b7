package ui

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/ui/frame"
)

// trialActions are those of the table that are about the trial, and about how a
// matte does in Pick.
func (w *window) trialActions() []*action {
	d := w.desk
	matte := func() bool { return d.Matte() != nil }
	return []*action{
		{menu: "Matte", label: "Trial on", enabled: matte, group: true, checked: func() bool { return matte() && !d.Matte().Trial.Off }, run: func() { w.desk.TurnTrial(d.Matte().Trial.Off) }},
		{menu: "Matte", label: desk.ResetTrialLabel, enabled: matte, run: w.desk.ResetTrial},
		{menu: "Matte", label: "Read a CDL file…", enabled: matte, run: func() { w.files.ChooseCDL() }},
		{menu: "Matte", label: "Write a CDL file…", enabled: matte, run: func() { w.files.WriteCDL() }},
		{menu: "Matte", label: "Soften to least misfit", enabled: w.desk.CanSoftenBest, run: w.desk.SoftenBest},
		{menu: "View", label: "Separation of the dabs", key: fyne.KeyP, enabled: matte, group: true, checked: func() bool { return d.Step == desk.StepPick && d.ShowSeparation }, run: w.desk.ToggleSeparation},
		{menu: "View", label: "Misclassified pixels of the dabs", key: fyne.KeyP, mods: shift, enabled: matte, checked: func() bool { return d.ShowMisclassified }, run: w.desk.ToggleMisclassified},
		{menu: "View", label: "Where the edge shows", key: frame.BypassKey, mods: shift, enabled: matte, checked: func() bool { return d.ShowSeam && desk.SeamSteps[d.Step] }, run: w.desk.ToggleSeam},
	}
}
