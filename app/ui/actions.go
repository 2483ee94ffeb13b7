package ui

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/frame"
	"halocline/app/ui/timebar"
	"halocline/app/view"
)

// Labels that are looked for by name.
const (
	openLabel = "Open…"
	undoLabel = "Undo"
	redoLabel = "Redo"
)

const (
	ctrl  = fyne.KeyModifierControl
	shift = fyne.KeyModifierShift
)

// makeActions is the table of all that can be asked for.
func (w *window) makeActions() []*action {
	d := w.desk
	open := func() bool { return d.Session != nil }
	matte := func() bool { return d.Matte() != nil }
	mask := func() bool { return d.Mask() != nil }
	asked := func() bool { return matte() && w.frame.Asked() != nil }
	several := func() bool { return open() && len(d.Study().Mattes) > 1 }
	all := []*action{
		{menu: "Study", label: openLabel, key: fyne.KeyO, mods: ctrl, run: func() { w.files.ChooseToOpen() }},
		{menu: "Study", label: "Open the sample", run: func() { w.files.AskBefore(w.files.OpenSample) }},
		{menu: "Study", label: "Save", key: fyne.KeyS, mods: ctrl, enabled: open, run: func() { w.files.Save(nil) }, group: true},
		{menu: "Study", label: "Save as…", key: fyne.KeyS, mods: ctrl | shift, enabled: open, run: func() { w.files.SaveAs(nil) }},
		{menu: "Study", label: "Export…", key: fyne.KeyE, mods: ctrl, enabled: matte, run: w.sheets.OpenExport, group: true},
		{menu: "Study", label: "Contact sheet…", enabled: func() bool { return matte() && d.Several() }, run: w.sheets.OpenContact},
		{menu: "Study", label: "Carry to other clips…", enabled: open, run: func() { w.files.CarryOn() }},
		{menu: "Study", label: "Load a true matte…", enabled: matte, run: func() { w.files.ChooseTruth() }},
		{menu: "Study", label: "Forget the true matte", enabled: func() bool { return d.Truth != nil && d.TrueOf == d.MatteID }, run: w.desk.ForgetTruth},
		{menu: "Study", label: "Quit", key: fyne.KeyQ, mods: ctrl, run: w.askToClose, group: true},

		{menu: "Edit", label: undoLabel, key: fyne.KeyZ, mods: ctrl, enabled: func() bool { return open() && len(d.Session.UndoLabels()) > 0 }, run: w.undo},
		{menu: "Edit", label: redoLabel, key: fyne.KeyZ, mods: ctrl | shift, enabled: func() bool { return open() && len(d.Session.RedoLabels()) > 0 }, run: w.redo},
		{menu: "Edit", label: "Edits made…", key: fyne.KeyH, mods: ctrl, enabled: open, run: w.openHistory},

		{menu: "Frame", label: desk.PressOnGrey, key: fyne.KeyG, mods: ctrl, enabled: open, run: func() { w.desk.SampleBase(desk.PressGrey) }},
		{menu: "Frame", label: desk.PressOnWater, key: fyne.KeyG, mods: ctrl | shift, enabled: open, run: func() { w.desk.SampleBase(desk.PressWater) }},
		{menu: "Frame", label: desk.PressOnBlack, key: fyne.KeyB, mods: ctrl | shift, enabled: open, run: func() { w.desk.SampleBase(desk.PressBlack) }},
		{menu: "Frame", label: desk.BeyondLabel, key: fyne.KeyB, mods: ctrl, enabled: open,
			checked: func() bool { return d.ShowBeyond }, run: func() { d.Set(func() { d.ShowBeyond = !d.ShowBeyond }) }},
		{menu: "Frame", label: "Next frame", key: fyne.KeyPeriod, enabled: w.desk.Several, run: func() { w.desk.MoveFrame(1) }, group: true},
		{menu: "Frame", label: "Previous frame", key: fyne.KeyComma, enabled: w.desk.Several, run: func() { w.desk.MoveFrame(-1) }},
		{menu: "Frame", label: "First frame", key: fyne.KeyHome, mods: ctrl, enabled: w.desk.Several, run: func() { w.desk.MoveFrame(-1 << 30) }},
		{menu: "Frame", label: "Last frame", key: fyne.KeyEnd, mods: ctrl, enabled: w.desk.Several, run: func() { w.desk.MoveFrame(1 << 30) }},
		{menu: "Frame", label: "Frame rate…", enabled: w.desk.HasRate, run: func() { w.files.AskRate() }},
		{menu: "Frame", label: "Matrix and range…", enabled: w.desk.IsMovie, run: func() { w.files.AskCodes() }},
		{menu: "Frame", label: "Go to frame…", key: fyne.KeyJ, mods: ctrl, enabled: w.desk.Several, run: func() { timebar.AskFrame(d, w.sheets) }},
		{menu: "Frame", label: "Next worst frame", key: fyne.KeyW, enabled: w.desk.KnowsWorst, run: w.desk.NextWorst},
		{menu: "Frame", label: "Worst frames…", key: fyne.KeyW, mods: shift, enabled: w.desk.KnowsWorst, run: func() { timebar.OpenWorst(d, w.sheets) }},
		{menu: "Frame", label: "Dismiss flag", enabled: w.desk.CanDismissFlag, run: w.desk.DismissFlag},
		{menu: "Frame", label: "Play", key: fyne.KeySpace, enabled: w.desk.Several, checked: w.desk.Plays, run: func() { w.time.Player.Turn(false) }, group: true},
		{menu: "Frame", label: "Play backward", key: fyne.KeySpace, mods: shift, enabled: w.desk.Several, run: func() { w.time.Player.Turn(true) }},
		{menu: "Frame", label: "Play round and round", enabled: w.desk.Several, checked: func() bool { return w.desk.Loop }, run: func() { w.time.Player.TurnLoop() }},
		{menu: "Frame", label: "Begin here", key: fyne.KeyLeftBracket, mods: ctrl, enabled: w.desk.Several, run: w.desk.BeginHere, group: true},
		{menu: "Frame", label: "End here", key: fyne.KeyRightBracket, mods: ctrl, enabled: w.desk.Several, run: w.desk.EndHere},
		{menu: "Frame", label: "Whole clip", enabled: w.desk.PartOnly, run: w.desk.WholeClip},
		{menu: "Frame", label: desk.ResetBaseLabel, enabled: open, run: w.desk.ResetBase, group: true},

		{menu: "Matte", label: "New matte", key: fyne.KeyN, mods: ctrl, enabled: open, run: w.desk.NewMatte},
		{menu: "Matte", label: "Rename matte…", key: fyne.KeyF2, enabled: matte, run: w.renameMatte},
		{menu: "Matte", label: "Duplicate matte", key: fyne.KeyD, mods: ctrl, enabled: matte, run: w.desk.DuplicateMatte},
		{menu: "Matte", label: "Delete matte", key: fyne.KeyDelete, mods: ctrl, enabled: matte, run: w.desk.DeleteMatte},
		{menu: "Matte", label: "Move matte left", key: fyne.KeyPageUp, mods: ctrl | shift, enabled: several, run: func() { w.desk.MoveMatte(-1) }},
		{menu: "Matte", label: "Move matte right", key: fyne.KeyPageDown, mods: ctrl | shift, enabled: several, run: func() { w.desk.MoveMatte(1) }},
		{menu: "Matte", label: "Previous matte", key: fyne.KeyPageUp, mods: ctrl, enabled: several, run: func() { w.desk.NextMatte(-1) }},
		{menu: "Matte", label: "Next matte", key: fyne.KeyPageDown, mods: ctrl, enabled: several, run: func() { w.desk.NextMatte(1) }},
		{menu: "Matte", label: "Shown", enabled: matte, checked: func() bool { return w.desk.Shows(d.MatteID) },
			run: func() { w.desk.SetShown(d.MatteID, !w.desk.Shows(d.MatteID)) }},
		{menu: "Matte", label: "Join another matte…", enabled: func() bool { return len(d.Joinable()) > 0 }, run: w.askMatteToJoin},
		{menu: "Matte", label: "Not exported", enabled: matte, checked: func() bool { return matte() && d.Matte().NotExported },
			run: func() { d.SetNotExported(!d.Matte().NotExported) }},
		{menu: "Matte", label: "Proofs…", key: fyne.KeyP, mods: ctrl, enabled: matte, run: w.openProofs, group: true},
		{menu: "Matte", label: "Keep as proof", key: fyne.KeyP, mods: ctrl | shift, enabled: matte, run: w.desk.KeepProof},
		{menu: "Matte", label: "Keep dabs", key: fyne.KeyK, enabled: matte, group: true,
			checked: func() bool { return d.Step == desk.StepPick && d.DabKind == study.Keep }, run: func() { w.desk.UseDab(study.Keep) }},
		{menu: "Matte", label: "Drop dabs", key: fyne.KeyD, enabled: matte,
			checked: func() bool { return d.Step == desk.StepPick && d.DabKind == study.Drop }, run: func() { w.desk.UseDab(study.Drop) }},
		{menu: "Matte", label: desk.SuggestLabel, key: fyne.KeyT, mods: ctrl, enabled: matte, run: w.desk.Suggest},
		{menu: "Matte", label: "Include the pixel asked about", key: fyne.KeyI, enabled: asked, run: func() { w.frame.IncludeAsked() }},
		{menu: "Matte", label: "Leave out the pixel asked about", key: fyne.KeyL, enabled: asked, run: func() { w.frame.LeaveOutAsked() }},
		{menu: "Matte", label: "Remove all dabs", enabled: func() bool { return matte() && len(d.Matte().Dabs)+len(d.Matte().MaskDabs) > 0 }, run: w.desk.RemoveDabs},

		{menu: "Mask", label: "New keep mask", key: fyne.KeyM, mods: ctrl, enabled: matte, run: func() { w.frame.NewMask(study.Keep) }},
		{menu: "Mask", label: "New drop mask", key: fyne.KeyM, mods: ctrl | shift, enabled: matte, run: func() { w.frame.NewMask(study.Drop) }},
		{menu: "Mask", label: "Mask alone", enabled: d.CanMaskAlone, run: d.MaskAlone},
		{menu: "Mask", label: "Rename mask…", key: fyne.KeyF2, mods: shift, enabled: mask, run: w.renameMask, group: true},
		{menu: "Mask", label: "Duplicate mask", key: fyne.KeyD, mods: ctrl | shift, enabled: mask, run: w.desk.DuplicateMask},
		{menu: "Mask", label: "Delete mask", key: fyne.KeyDelete, mods: ctrl | shift, enabled: mask, run: w.desk.DeleteMask},
		{menu: "Mask", label: "Previous mask", key: fyne.KeyPageUp, mods: shift, enabled: mask, run: func() { w.desk.NextMask(-1) }},
		{menu: "Mask", label: "Next mask", key: fyne.KeyPageDown, mods: shift, enabled: mask, run: func() { w.desk.NextMask(1) }},
		{menu: "Mask", label: "Mask on", enabled: mask, group: true, checked: func() bool { return mask() && !d.Mask().Off }, run: w.desk.ToggleMask},
		{menu: "Mask", label: "Keep mask", enabled: mask, checked: func() bool { return mask() && d.Mask().Kind == study.Keep }, run: w.desk.TurnMask},
		{menu: "Mask", label: "Rounded", key: fyne.KeyR, enabled: mask, checked: func() bool { return mask() && d.Mask().Rounded }, run: w.desk.RoundMask},
		{menu: "Mask", label: desk.OutlineFromFound, key: fyne.KeyF, enabled: d.CanTakeOutline, run: d.TakeOutline},
		{menu: "Mask", label: desk.DrawAnew, key: fyne.KeyF, mods: shift, enabled: d.CanDrawAnew, run: func() { w.frame.DrawAnew() }},
		{menu: "Mask", label: "Add vertex", key: fyne.KeyInsert, enabled: mask, run: func() { w.frame.InsertVertex() }, group: true},
		{menu: "Mask", label: "Delete vertices", enabled: mask, run: func() { w.frame.DeleteVertices() }},
	}
	all = append(all, w.trialActions()...)
	all = append(all, w.keyActions()...)
	for i, v := range view.All {
		can := open
		if v == view.Trial {
			can = w.desk.TrialStands
		}
		all = append(all, &action{
			menu: "View", label: v.String(), key: digit(i + 1), checked: func() bool { return d.View == v }, enabled: can,
			run: func() { d.Set(func() { d.View = v }) },
		})
	}
	all = append(all,
		&action{menu: "View", label: "Compare", key: digit(frame.CompareDigit), enabled: open, checked: func() bool { return d.Compare }, run: w.desk.ToggleCompare},
		&action{menu: "View", label: "Fit", key: fyne.Key0, mods: ctrl, enabled: open, run: w.viewer.Fit, group: true},
		&action{menu: "View", label: "100 %", key: fyne.Key0, mods: ctrl | shift, enabled: open, run: func() { w.viewer.Zoom(100) }},
		&action{menu: "View", label: "Zoom in", key: fyne.KeyEqual, mods: ctrl, enabled: open, run: func() { w.zoomBy(1.25) }},
		&action{menu: "View", label: "Zoom out", key: fyne.KeyMinus, mods: ctrl, enabled: open, run: func() { w.zoomBy(1 / 1.25) }},
		&action{menu: "View", label: "Next edge worth a look", key: desk.NextLookKey, enabled: matte, run: func() { w.judge.Next() }},
	)
	for i, s := range desk.Steps {
		all = append(all, &action{
			menu: "View", label: s.GoTo(), key: digit(i + 1), mods: ctrl, group: i == 0,
			checked: func() bool { return d.Step == s }, run: func() { w.desk.GoToStep(s) },
		})
	}
	return append(all,
		&action{menu: "Help", label: "Keys", key: fyne.KeyF1, run: w.openKeys},
		&action{menu: "Help", label: "What to try", run: func() { w.frame.ShowHint() }, enabled: func() bool { return d.Sample }},
		&action{menu: "Help", label: "About Halocline", run: w.openAbout})
}

func digit(n int) fyne.KeyName { return fyne.KeyName(rune('0' + n)) }

// undo takes back a letter where a text is being typed, else an edit.
func (w *window) undo() {
	if text, ok := w.win.Canvas().Focused().(interface{ Undo() }); ok {
		text.Undo()
		return
	}
	w.travel(w.desk.Undo)
}

func (w *window) redo() {
	if text, ok := w.win.Canvas().Focused().(interface{ Redo() }); ok {
		text.Redo()
		return
	}
	w.travel(w.desk.Redo)
}

// travel undoes or redoes, and opens the step, the matte and the frame in which
// something changed, so that the user sees what it was.
func (w *window) travel(move func()) {
	before := w.desk.Study()
	move()
	w.journal.Tell("travelled")
	matte, st, ok := desk.WhatChanged(before, w.desk.Study())
	if !ok {
		return
	}
	w.desk.Set(func() {
		if matte != 0 {
			w.desk.MatteID = matte
		}
		if st >= 0 {
			w.desk.OpenStep(st)
		}
		w.desk.Settle()
	})
	if at, ok := desk.WhereChanged(before, w.desk.Study(), w.desk.MatteID, w.desk.Frame); ok && w.desk.HasFrame(at) {
		w.desk.GoToFrame(at)
	}
}

// escape takes back what is under way: a drag first, then what lies in the way.
func (w *window) escape() {
	switch {
	case w.desk.CancelDrag():
	case w.desk.Plays():
		w.time.Player.Stop()
	case w.frame.ForgetAsked():
	case w.messages.Showing():
		w.messages.Hide()
	default:
		w.Rest()
	}
}

// zoomBy zooms about the middle of the view.
func (w *window) zoomBy(factor float64) {
	vp := w.viewer.Viewport()
	w.LookAt(vp.ZoomedAt(float64(vp.VW)/2, float64(vp.VH)/2, vp.Zoom*factor))
}
