// Package study holds the saved document: one clip, the base correction of its
// whole frame, and the mattes taken from it, each with its pick, masks, edge
// treatment, trial grade, dabs and kept alternatives.
//
// A Study is plain data. Frames are the source's frame numbers; coordinates and
// radii are float64 source pixels after orientation, x to the right, y down,
// pixel (x,y) covering [x,x+1)x[y,y+1). Every numeric setting is a track over
// frames: one constant, or keys between which the value steps, travels straight,
// or runs along a monotone cubic (package mask). Ids are positive and never
// used again.
//
// A Session owns one Study: edits go in by one door, Edit, and can be undone.
//
// # File
//
// A file is JSON in UTF-8 with the field "halocline" for its version. It is
// written beside and renamed. It holds the footage's path relative to its own
// folder; in memory that path is absolute.
//
//   - A setting is {"value": v} or {"keys": [{"frame": n, "value": v, "way": w}]};
//     w is "straight" (also where it is absent), "step" or "curved".
//   - What is absent is neutral. A limit that is absent is off.
//   - A pick's limits are called "hue", "saturation" ("chroma" where the model is
//     lch) and "lightness"; each may be "off" and "inverted", and its value is
//     {"from": a, "to": b, "fadeBefore": c, "fadeAfter": d}.
//   - A field that is not known is refused, naming its place, as it may matter;
//     so is a newer version. The top field "extra" may hold anything, which is
//     carried along.
package study
