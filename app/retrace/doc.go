// Package retrace makes the edge that was found for a mask the mask's own outline.
//
// A mask that searches is led to the picture's edge on each frame, and keeps the outline that
// was drawn; one that follows goes along with the picture between its keys. Take puts what was
// found on one frame in that outline's place there, as a tight key. Where the edge has further parts, each becomes a mask like the first; a hole in it
// becomes a drop mask.
//
// Areas are in pixels of the source, distances too.
package retrace
