// Package render turns a study and a frame number into pictures: the frame as
// it is shown, a matte, what keeps each pixel out of it.
//
// The order of stages is said once, in order.go. Results are kept by what they
// depend on, in a cache bounded in bytes, so that a change of one range does not
// convert colours again, and a change of the base does not smooth noise again.
// Pictures it returns are shared with that cache: read them, never write them.
package render
