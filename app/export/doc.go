// Package export writes mattes and finished frames as PNG files: those of one frame
// or of ten thousand, several at once, in parts on several machines.
//
// A Job is an export. Its files never lie half written under their names, and a
// manifest in their folder says what each is, with a checksum: a second run leaves
// what is there as it would be written, and Verify proves that every frame that was
// to be exported is there, once and intact. Beside mattes lie a text that says what
// they are, and one frame to check them against; a movie of them may.
//
// Planes of float32 in [0,1] become 8- or 16-bit samples by rounding v*255 or
// v*65535; what is not a number is 0, what lies outside is clamped.
// Grey pictures are mattes: full range, linear coverage. There is no gamma,
// colour or profile chunk, as a matte's samples are no light (the specification
// says so of alpha channels only; a grey picture carries no such promise, hence
// nothing that a reader could act on).
//
// The format: Portable Network Graphics (Third Edition), W3C Recommendation
// 24 June 2025; zlib, RFC 1950; deflate, RFC 1951.
package export
