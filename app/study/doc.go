// Package study holds the saved document: one clip, the base correction of its
// whole frame, and the mattes taken from it, each with its pick, masks, edge
// treatment, trial grade, dabs and kept alternatives.
//
// A Study is plain data. Frames are the source's frame numbers; coordinates and
// radii are float64 source pixels after orientation, x to the right, y down,
// pixel (x,y) covering [x,x+1)x[y,y+1). Every numeric setting is a track over
// frames. Ids are positive and never used again.
//
// A Session owns one Study: edits go in by one door, Edit, and can be undone.
// A file is JSON, versioned, written beside and renamed, and holds the footage's
// path relative to its own folder; in memory that path is absolute.
package study
