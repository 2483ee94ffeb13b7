// Package settle steadies a matte over time: it takes the mean of a frame's matte and those
// of the frames beside it, carried along the picture's motion.
//
//	(own + sum of w carried) / (1 + sum of w),  w = share exp(-miss^2)
//
// The miss is how far, in pixels of the frame, a pixel comes back beside itself when it goes
// along the motion to the frame beside and back along that frame's motion. Where something is
// hidden there, or the motion is not sure, the miss is large and the frame beside has no
// part. Nor has it across a cut (IsCut).
//
// The same build gives the same bytes for any number of workers, and a part of a frame the
// bytes that it has in the whole.
package settle
