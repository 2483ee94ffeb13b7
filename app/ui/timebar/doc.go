// Package timebar is what stands under the viewer while a clip of several frames is
// open: the ruler, the lanes of keys and the strip of verdicts, and what is done there,
// which is to go to frames and to play.
//
// A Bar shows what the desk has; its Player follows the pictures of a clip that plays.
// The widget itself is package timeline's. All runs on the toolkit's goroutine.
package timebar
