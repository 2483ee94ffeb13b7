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
// Unsaved work is kept in a file beside the study's, marked by a lock as the session's
// own. A session saves over no change of another program's unless it is told to
// (ErrChanged, SaveOver). Acquire takes the lock of a study, for who reads and then
// writes it.
//
// # File
//
// A file is JSON in UTF-8 with the field "halocline" for its version, 2. It is
// written beside and renamed. It holds the footage's path relative to its own
// folder; in memory that path is absolute.
//
//   - A number is {"value": v} or {"keys": [{"frame": n, "value": v, "way": w}]};
//     w is "straight" (also where it is absent), "step" or "curved".
//   - What is absent is neutral. A limit that is absent is off.
//   - A field that is not known changes nothing, is told of when the file is opened
//     (Study.Unknown), and is written again with the object it stands in.
//   - A file of another version is refused.
//
// The whole form. Numbers over time are marked with ~; [r,g,b] after a name stands
// for three of them, as in gainRed, gainGreen, gainBlue. What is marked with + has its
// place in version 2 and is not known by this program yet: it becomes known with
// the work that makes it do something.
//
//	halocline  2
//	clip       id, path, first, count, fps [n,d], noise [r,g,b], matrix, range, size, sha256
//	base       input, water, gain[r,g,b]~, veil[r,g,b]~, path~, exposure~, contrast~, pivot~,
//	           black[r,g,b]~ (linear light, in place of veil)
//	mattes     id, name, note, notExported, pick, masks, edge, trial, dabs, proofs,
//	           joined [{"matte": id, "how": "add" | "touching" | "takeAway" | "within"}],
//	           + dismissed [{"frame": n, "figure": name}]
//	pick       model "hsl" | "lch" | "plane", smooth, fitted (to the dabs; absent: set by hand),
//	           + stale [channel, ...], and limits by channel: hue, saturation (of hsl) or
//	           chroma (of lch), lightness: off, inverted, {from, to, fadeBefore, fadeAfter}~;
//	           of the model plane in their place: plane {"normal": [L*,a*,b*] (of length 1),
//	           off, inverted, {level, fadeBefore, fadeAfter}~}; see selection.Across
//	masks      id, name, kind "keep" | "drop", rounded, off, in, out,
//	           search (px; absent: 0, off), before, after ("hold" | "follow"; absent: "hold");
//	           keys: frame, way (also "follow"), inner, outer, opacity, points [[x,y], ...], tight
//	edge       despeckle~, align~, harden~, hardenAbout~, grow~, soften~, settle~
//	trial      off, pivot, slope[r,g,b]~, offset[r,g,b]~, power[r,g,b]~, saturation~
//	dabs       id, frame, x, y, radius, kind, + for ("pick" | "masks" | "both"; absent: "pick")
//	proofs     id, name, note, pick, masks, edge, trial
//	next       the lowest id that was never used
//	extra      an object that is carried along for others
package study
