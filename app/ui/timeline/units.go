package timeline

import "halocline/app/timecode"

// A Rate is frames per second as a fraction.
type Rate = timecode.Rate

// Units are what the ruler counts in.
type Units int

const (
	Frames    Units = iota // the source's frame numbers
	NonDrop                // SMPTE ST 12-1 timecode, every number counted
	DropFrame              // the same, with numbers left out so that it keeps up with the clock
)
