package frame

import (
	"fmt"

	"halocline/app/desk"
	"halocline/app/view"
)

// PressHelp says what a press on the frame would do.
func (f *Frame) PressHelp() string {
	t := f.tools[f.desk.Step]
	switch {
	case f.desk.Session == nil:
		return "open a picture to begin"
	case t != nil:
		return t.help()
	case f.desk.Step == desk.StepTrial && f.desk.BypassTrial:
		return "without the trial, as long as " + string(BypassKey) + " is held"
	case f.desk.Step == desk.StepTrial:
		return "hold " + string(BypassKey) + " to see the frame without the trial"
	}
	return "drag to pan, wheel to zoom"
}

func (t *baseTool) help() string {
	switch t.desk.Press {
	case desk.PressWater:
		return "press on open water to sample it"
	case desk.PressBlack:
		return "press where something black is in the disc: the darkest of it counts"
	}
	return "press on something grey to sample it"
}

func (t *dabTool) help() string {
	if t.desk.View == view.Reasons {
		return "rest on a pixel to ask why; a press pins the answer"
	}
	if t.hover != 0 {
		return "Delete removes the dab under the pointer"
	}
	return "press: " + t.desk.DabKind.String() + " dab" + t.desk.DabUse().Words() + ". Right button: the other kind. Wheel while pressed: its size"
}

func (t *maskTool) help() string {
	if t.drawing() {
		return "press for each vertex; Enter or the first vertex closes. Right button: one back. Esc: none"
	}
	if t.followsHere() {
		return t.followedHelp()
	}
	if t.desk.MakesKey() {
		return fmt.Sprintf("a move makes a key at frame %d. Double-click a line: new vertex", t.desk.Frame)
	}
	if len(t.chosen.vertices) > 1 {
		return "drag one: all that are chosen move. Delete takes them away"
	}
	return "drag any part; Ctrl: neighbours too; Shift: choose several; double-click a line: new vertex"
}
