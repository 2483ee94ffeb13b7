package ui

// What other parts say in the status row.

func (s *statusRow) Busy(what string)    { s.busy(what) }
func (s *statusRow) Reading(what string) { s.reading(what) }
func (s *statusRow) Playing(how string)  { s.playing(how) }
func (s *statusRow) Hint(words string)   { s.hint(words) }
