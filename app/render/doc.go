// Package render turns a study and a frame number into pictures: the frame as
// it is shown, a matte, what keeps each pixel out of it.
//
// The order of stages is said once, in order.go. Results are kept by what they
// depend on, in a cache bounded in bytes that all mattes share, so that a change
// of one range does not convert colours again, and a change of softness does
// not weigh again. Pictures it returns are shared with that cache: read them,
// never write them.
//
// A Request may ask for a part of a frame, and for a proxy: one pixel for
// factor x factor of the source's, where everything given in pixels is scaled
// with them. A part of a frame at factor 1 has the bits that it has in the whole.
package render
