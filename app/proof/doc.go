// Package proof lays alternatives of one matte's settings side by side: those that
// were kept, and those of a sweep over one number. Of each it gives figures, on one
// frame or on several spread over the clip, and a picture, all at the same spot and
// zoom:
//
//	separation     the chance that the matte weighs a pixel under a keep dab more than
//	               one under a drop dab, ties counting half: the area under the ROC
//	               curve (Hanley & McNeil 1982), each dab read on its own frame. Unlike
//	               the separation of a pick it has masks and the edge in it
//	area           mean alpha
//	edge width     px, the area of 0.1 < alpha < 0.9 over the length of the contour
//	specks, holes  4-connected components below 50 px
//	flicker        change of alpha since the frame before where the picture stood still
//	rim, bleed     CIEDE2000, of the matte's own trial (seam.Seam)
//	misfit         likewise, both in one figure
//	edge mismatch  in [0,1], how far the matte's edge is from the picture's: misfit is
//	               what the grade makes of it
//	masked edge    the share of the matte's edge that its masks end; the pick makes the rest
//
// Over several frames each is the mean of the frames that have it.
package proof
