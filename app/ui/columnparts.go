package ui

import (
	"halocline/app/study"
	"halocline/app/ui/panels"
)

// partsForColumn are what the column asks of the window's other parts.
func partsForColumn(w *window) panels.Parts {
	return panels.Parts{
		Host: under{w}, Judge: w.judge.Object(), Keys: w.menu, Status: w.status, Masks: maskHand{w}, Picture: w.preview,
		Asks: panels.Asks{OpenFile: w.files.ChooseToOpen, RenameMask: w.renameMask, ReadCDL: w.chooseCDL, WriteCDL: w.askToWriteCDL},
	}
}

// A maskHand edits masks on the frame for the column.
type maskHand struct{ w *window }

func (m maskHand) Draw(k study.Kind) { m.w.newMask(k) }
func (m maskHand) Vertex() int       { return m.w.maskTool().vertex }
func (m maskHand) Unchoose()         { m.w.maskTool().vertex = -1 }
func (m maskHand) InsertVertex()     { m.w.insertVertex() }
func (m maskHand) DeleteVertex()     { m.w.deleteVertex() }

func (m maskHand) Drawing() (study.Kind, bool) { return m.w.maskTool().kind, m.w.drawing() }
