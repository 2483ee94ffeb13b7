// Package proofs has the sheet of proofs: settings of one matte side by side, those
// that are kept and those of a sweep over one number, with their figures.
//
// A cell shows one proof, on one frame or on four; all pictures are moved and zoomed
// together. Pictures and figures are worked out in the background. Nothing in the study
// changes before a proof is used or kept. Lengths of the sheet are in Fyne's units,
// those of pictures in pixels.
package proofs
