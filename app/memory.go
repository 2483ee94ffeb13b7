package app

import "runtime/debug"

// The memory that the program is held to where it can be. Results that are kept
// fill most of it (render.DefaultCache), and without a limit garbage would be let
// grow to as much again before it is collected: 1.9 GB on a 4K frame where 1.1
// do. Larger frames get more by their size, as what is in use may not be thrown
// away.
const (
	memoryLimit = 1000 << 20
	limitPixels = 4096 * 2176 // the largest frame it is for
)

func limitMemory(pixels int) { debug.SetMemoryLimit(memoryFor(pixels)) }

func memoryFor(pixels int) int64 {
	return memoryLimit * int64(max(pixels, limitPixels)) / limitPixels
}
