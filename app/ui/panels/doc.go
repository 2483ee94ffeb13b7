// Package panels is the right column of the window: the row of steps, the controls of the
// step that is open, the other steps as lines, and at its foot what stands there.
//
// Each step has one panel. A panel shows what is on the desk and is silent while it is
// set; what the user does with it is an act of the desk. A value that can change over
// time has a key control beside it.
package panels
