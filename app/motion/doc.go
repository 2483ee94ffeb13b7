// Package motion finds how far each pixel of a frame has moved in another: dense
// optical flow by inverse search (Kroeger, Timofte, Dai & Van Gool 2016, "Fast Optical
// Flow using Dense Inverse Search").
//
//	luma -> pyramid with gradients (Picture) -> per level, coarse to fine:
//	patches of 8 x 8 sought -> their motions weighed to a dense field -> refined
//
// Coordinates are those of pixel centres: pixel (x,y) lies at (x,y). A flow of (dx,dy)
// at (x,y) says that what is at (x,y) in the first frame is at (x+dx, y+dy) in the
// second. Luma is display encoded, in [0,1] where the source was.
//
// Light may change from frame to frame, as caustics do under water: patches are compared
// without their mean and their contrast, and the refinement allows for the change of
// light that the patches found.
//
// Flow is worked out at the finest of the sizes 1, 1/2, 1/4, ... that has at most 540
// lines: at half size for 1080 lines, at a quarter for 2160, and is read between by
// bilinear interpolation.
//
// Memory, in bytes for each pixel of a frame of 1080 lines: 4.4 for a Picture, 2 for a
// Flow, and some 19 more while Between works; for 2160 lines a quarter of that each.
// BenchmarkBetween tells what is allocated.
//
// The same build gives the same bytes for any number of workers.
package motion
