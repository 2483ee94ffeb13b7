// Package timeline is the time area of the window: a ruler with the playhead and
// the two ends of the part in work, a lane of keys for each mask, and the
// steadiness strip.
//
// It knows plain data alone: frames by the source's own numbers, lanes with
// their keys, notes of each frame. An Area draws them into one picture and tells
// of the user's acts through its functions; it changes nothing by itself but
// what part of time it shows, which units it counts in, and where its own
// playhead stands while the user drags it.
//
// Places are pixels of that picture, x to the right, y down. A frame has no
// width: frame n stands on one x, and two neighbours are one width apart.
package timeline
