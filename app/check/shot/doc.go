// Package shot judges a clip's frames as a whole.
//
// A Shot judges a matte over time, mostly without a truth, and a Timeline keeps what
// it found while the matte is worked on. Of each frame, besides the figures of
// check.Measure and of its trial's seam:
//
//	Band      mean alpha in the bands over which the masks fade
//	Core      mean alpha deeper than width/96 inside the keep masks
//	Cut       px, the longest stretch of a mask's edge that cuts through the matte
//	Shifts    px, how far each keep mask lies from its usual place around what is
//	          picked there; known once there is a clip to compare with
//	Dropped   share of alpha on colours on the drop side of the plane that
//	          separates the dabs best (Fisher's, in CIELAB)
//	Flicker   change of alpha since the frame before where the picture stood still
//	CarriedChange  change of alpha against the matte of the frame before, carried
//	Change    |area - area before| / the larger
//	IoU       with a truth, as package check has it
//	DTSSD     likewise, since the frame before
//
// Leak is the larger of Band and Dropped. Where a mask is led to the picture's edge, Band, Core
// and the share of the matte's edge that masks end are about the edge that was found. Cut is
// about the outline as drawn: what lies outside of it is lost. A tight outline is looked at on
// both sides, so that there the found edge ends the mask.
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
// CarriedChange is the mean of |alpha - alpha before, carried| over the pixels where either is
// above 0. The matte before is carried along the motion of the picture (package motion), so that
// what moved counts too: of a true matte it is what the motion gets wrong. It has no part in
// Badness.
//
// Where the subject seems to go on beyond the outline from which a mask was led to an edge, the
// frame has Crossings (edge.Crossing). It then stands out by 4.5 to 9, the more the longer the
// longest is, also where that lasts for the whole clip.
//
// A frame to which an outline follows the picture with a Confidence below Doubtful stands out by
// 4.5 to 9, the more the less likely it is right, also where all frames are like that.
//
// A frame's Badness is the largest of its robust z-scores: how far Flicker, Band, Cut,
// Dropped, Change, specks and holes together lie above their median over the clip, or
// a shift to either side, over 1.4826 times the median absolute deviation. A deviation
// under what nobody would call a change counts as that much, so that a steady clip has
// no bad frames. A mask that was set wrong on one frame shows in its shift, for it is
// drawn about the same thing throughout; it need not cut or leak anything there.
package shot
