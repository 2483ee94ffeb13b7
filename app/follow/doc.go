// Package follow leads a mask's outline from the frames where it is known to those between,
// with the picture's motion.
//
//	known outline -> depths -> carried along the chain of flows, frame by frame (Carrier)
//	-> from both ends of a stretch, blended by time -> the edge near it (Frame)
//
// What is found on a frame never enters the chain: an error there would stay in it.
package follow
