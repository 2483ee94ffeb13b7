// Package files opens, restores and saves studies, asks before unsaved work is lost,
// remembers what was opened last, and asks how footage is to be read.
//
// Files are read in the background; all else runs on the toolkit's goroutine.
package files
