// Package export writes mattes and finished frames as PNG files.
//
// Planes of float32 in [0,1] become 8- or 16-bit samples by rounding v*255 or
// v*65535; what is not a number is 0, what lies outside is held to the ends.
// Grey pictures are mattes: full range, linear coverage. There is no gamma,
// colour or profile chunk, as a matte's samples are no light (the specification
// says so of alpha channels only; a grey picture carries no such promise, hence
// nothing that a reader could act on).
//
// The format: Portable Network Graphics (Third Edition), W3C Recommendation
// 24 June 2025; zlib, RFC 1950; deflate, RFC 1951.
package export
