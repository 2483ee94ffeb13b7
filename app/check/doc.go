// Package check judges a matte on one frame.
//
// Score compares it with a true matte: a plane of the same size that says how
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
//	DtSSD              sqrt(sum ((a-a') - (g-g'))^2), with a' and g' those of the frame
//	                   before
//
// Gradient and connectivity error: C. Rhemann, C. Rother, J. Wang, M. Gelautz,
// P. Kohli and P. Rott 2009, "A Perceptually Motivated Online Benchmark for
// Image Matting", CVPR, with the constants of their public evaluation code:
// derivatives of a Gaussian of sigma 1.4 whose kernel has unit L2 norm; levels
// 0.1 apart, threshold 0.15, no weighting by distance. IoU of soft sets: the ratio of
// Ruzicka (common practice, from memory). DtSSD: M. Erofeev, Y. Gitman, D. Vatolin,
// A. Fedorov and J. Wang 2015, "Perceptually Motivated Benchmark for Video
// Matting", BMVC.
//
// Without a truth, Measure says what a matte is like: its area, how wide its edge
// is, specks and holes. WorstEdges finds the stretches of the edge that are most worth
// a look. ContourRow follows the contour at one half, by which an edge is known.
//
// PredictNoise says what a grade does to the noise of what a matte covers.
package check
