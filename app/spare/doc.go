// Package spare finds the keys of a mask that follows the picture without which it would stay
// as it is.
//
// A key is spare where, on every frame between its neighbours, the outline as it is without
// the key lies within 2 pixels of the outline as it is now in the mean, and within 4 in the mean
// of its worst twentieth, of a picture of at most 1080 lines; larger ones have more in proportion. Distances are taken from
// both outlines to the other. Keys are looked at in turn, each without those that were found spare
// before, so that all of them may go at once.
package spare
