package timeline

import (
	"fmt"
	"strings"

	"halocline/app/study"
)

// words says what is at a place.
func (a *Area) words(at part, frame int) string {
	when := a.timeText(frame)
	switch at.kind {
	case playButton:
		return "play or pause (" + a.PlayKey + ")"
	case unitsLabel:
		return "frames or timecode: press to switch"
	case theRuler:
		return when
	case inEnd:
		return "in: " + a.timeText(a.in)
	case outEnd:
		return "out: " + a.timeText(a.out)
	case aNotch:
		return "key at " + a.timeText(at.frame)
	case aLane:
		if follows := a.lanes[at.lane].followWords(frame); follows != "" {
			return when + ": " + follows
		}
	case theStrip, aFlag:
		if at.kind == aFlag {
			when, frame = a.timeText(at.frame), at.frame
		}
		return when + ": " + a.noteWords(frame)
	}
	return ""
}

// noteWords says what is known of a frame.
func (a *Area) noteWords(frame int) string {
	n := a.notes.at(frame)
	if n == nil {
		return "not looked at yet"
	}
	parts := []string{"area " + study.AreaWords(n.Area, !n.Rough)}
	if n.Flicker != nil {
		parts = append(parts, fmt.Sprintf("flicker %.1f %%", 100**n.Flicker))
	}
	if n.Leak != nil {
		parts = append(parts, fmt.Sprintf("leak %.1f %%", 100**n.Leak))
	}
	if n.Sure != nil {
		parts = append(parts, sureWords(*n.Sure))
	}
	if n.Misfit != nil {
		parts = append(parts, fmt.Sprintf("misfit %.1f", *n.Misfit))
	}
	flagged := false
	for _, f := range a.notes.Flags {
		if f.Frame == frame && f.Words != "" {
			parts, flagged = append(parts, f.Words), true
		}
	}
	if !flagged && n.Words != "" {
		parts = append(parts, n.Words)
	}
	if n.Stale {
		parts = append(parts, "before the last edit")
	}
	return strings.Join(parts, ", ")
}

// help says what a press there would do.
func (a *Area) help(at part) string {
	switch at.kind {
	case theRuler:
		return "drag: through the clip. Wheel: zoom"
	case inEnd, outEnd:
		return "drag: where the part in work begins or ends"
	case aNotch:
		return "drag: move the key. With Ctrl: copy it. Delete: remove it"
	case aLane:
		return "double-click: new key. Press: go there"
	case laneName:
		return "press: choose ‘" + a.lanes[at.lane].Name + "’"
	case theStrip, aFlag:
		return "press: go there"
	}
	return a.words(at, 0)
}
