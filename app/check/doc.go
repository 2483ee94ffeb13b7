// Package check judges a matte.
//
// Score compares one with a true matte: a plane of the same size that says how
// much of each pixel the thing really covers. Alphas are in [0,1]; what lies
// outside is clamped and what is not a number is 0, as in a written file.
// a is the matte's alpha, g the truth's, N the number of pixels judged:
//
//	SAD                sum |a-g|; tables in papers usually print a thousandth of it
//	MSE                sum (a-g)^2 / N
//	MAE                sum |a-g| / N
//	IoU                sum min(a,g) / sum max(a,g)
//	BalancedAccuracy   mean of the shares of g >= 0.5 that has a >= 0.5 and of
//	                   g < 0.5 that has a < 0.5
//	Gradient           sum (|grad a| - |grad g|)^2
//	Connectivity       sum |phi(a) - phi(g)|
//
// Gradient and connectivity error: C. Rhemann, C. Rother, J. Wang, M. Gelautz,
// P. Kohli and P. Rott 2009, "A Perceptually Motivated Online Benchmark for
// Image Matting", CVPR, with the constants of their public evaluation code:
// derivatives of a Gaussian of sigma 1.4 whose kernel has unit L2 norm; levels
// 0.1 apart, threshold 0.15, no weighting by distance. IoU of soft sets: the ratio of
// Ruzicka (common practice, from memory).
//
// Measure says without a truth what one matte is like: its area, how wide its edge
// is, specks and holes. WorstEdges finds the stretches of the edge
// that are most worth a look.
//
// A Shot judges a matte over time, mostly without a truth, and a Timeline keeps what
// it found while the matte is worked on. Of each frame, besides Measure's figures:
//
//	Band      mean alpha in the bands over which the masks fade
//	Cut       px, the longest stretch of a mask's edge that cuts through the matte
//	Shifts    px, how far each keep mask lies from its usual place around what is
//	          picked there; known once there is a clip to compare with
//	Dropped   share of alpha on colours on the drop side of the plane that
//	          separates the dabs best (Fisher's, in CIELAB)
//	Flicker   change of alpha since the frame before where the picture stood still
//	Change    |area - area before| / the larger
//	IoU       as above, with a truth
//	DTSSD     sqrt(sum ((a-a') - (g-g'))^2), with a truth; ' is the frame before
//
// Leak is the larger of Band and Dropped. DTSSD: M. Erofeev, Y. Gitman, D. Vatolin,
// A. Fedorov and J. Wang 2015, "Perceptually Motivated Benchmark for Video
// Matting", BMVC.
//
// Flicker is the root mean square over the pixels where alpha is above 0, before or
// now, and which stood still: whose dE00 between the two frames, of the
// picture that the pick reads, is at most 1 plus 2 sigma of what noise alone makes
// of it. Two noisy frames differ by sqrt 2 of the noise of one. That is the clip's,
// times what is left of it after smoothing, times the slope of base at the pixel's value
// in each channel, taken to the local dE at that colour. So noise is in the flicker as
// far as the matte lets it through, and what really changed is not: neither what
// moved nor what a net of light runs over.
//
// A frame's Badness is the largest of its robust z-scores: how far Flicker, Band, Cut,
// Dropped, Change, specks and holes together lie above their median over the clip, or
// a shift to either side, over 1.4826 times the median absolute deviation. A deviation
// under what nobody would call a change counts as that much, so that a steady clip has
// no bad frames. A mask that was set wrong on one frame shows in its shift, for it is
// drawn about the same thing throughout; it need not cut or leak anything there.
//
// A Seam says how the edge of a grade through a matte sits on the picture's own
// edge: rim, bleed and misfit, which softness fits best, and where it shows.
package check
