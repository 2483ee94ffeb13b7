// Package guided has the guided filter with a colour guide: within each window
// of a picture it fits alpha by a line in the guide's three channels,
//
//	q = aR R + aG G + aB B + b,  a = (Sigma + eps U)^-1 cov(guide, alpha)
//
// and the result at a pixel is the mean of what the windows that contain it say.
// So an edge of alpha moves to the guide's edge nearby, and alpha is smoothed
// where the guide is even.
//
// Guide and alpha go from 0 to 1: samples outside count as the nearer end, one
// that is not a number as 0. Lengths are in pixels. Windows are clipped at the
// border of what takes part. All sums are of whole numbers and so exact: the bits
// of a result depend neither on the number of workers nor on what lies beyond
// its reach.
//
// K. He, J. Sun, X. Tang, "Guided Image Filtering", IEEE TPAMI 35(6), 2013, eqs.
// 19 to 21. K. He, J. Sun, "Fast Guided Filter", 2015 (arXiv:1505.00996), with
// the difference that every pixel enters the sums; only the windows are fewer.
package guided
