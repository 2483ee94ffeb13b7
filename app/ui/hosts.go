package ui

import "halocline/app/ui/timebar"

// under is the window as what sheets and proofs lie over.
type under struct{ *window }

func (u under) Tell(format string, args ...any) { u.journal.Tell(format, args...) }
func (u under) TellPlaces()                     { u.journal.TellPlaces() }

// beside is the window as what Judge stands beside.
type beside struct{ *window }

func (b beside) WithKey(hint, label string) string { return b.menu.WithKey(hint, label) }
func (b beside) OpenWorst()                        { timebar.OpenWorst(b.desk, b.sheets) }
