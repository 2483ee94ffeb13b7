// Package sheets has what lies over the window until it is answered: sheets that ask
// for a name, a place or a decision, that list edits and keys, that export mattes, and
// the toolkit's own choosers of files and folders.
//
// One sheet is open at a time; a chooser may lie over it. Esc closes what is on top.
// Units are Fyne's.
package sheets
