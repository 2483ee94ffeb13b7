// Package seam says how the edge of a grade through a matte sits on the picture's own
// edge, which softness fits best, and where the seam shows.
//
// A matte, at any softness, is judged as the mask of a grade: by how the picture itself
// crosses the matte's outline. A grade that the matte lets in more abruptly than the
// picture changes shows as an edge; one that it lets in more gradually shows on what
// lies beside it.
//
// The outline is the matte's contour at one half before it is softened, without
// specks and pinholes of less than (R/2)^2 pixels, where R is the frame's width /
// 80. s is the distance to it in pixels, negative inside. The band judged is that
// of |s| < 1.5 R on both sides: wide enough for the fade of a softness of R, and
// narrow enough for the colours in it to be those that meet at the edge. In it,
// with CIELAB colours:
//
//	Ci, Co  local colours: means, under a Gaussian window of sigma 4R/3, of what
//	        lies R/3 to 1.5 R inside and outside. Nearer, pixels are mixed.
//	u       Ci - Co
//	a(s)    the picture's own edge: the mean of ((Lab - Co).u) / (|u|^2 + 1) in
//	        bins of one pixel of s, weighted by min(|u|^2, 400), so that places
//	        count where there is something to see; then moved and scaled so that its
//	        mean beyond R (R/3 where all is nearer) is 1 inside and 0 outside, and
//	        clamped to [0,1]
//	m(s)    the matte that is judged: its mean with the same weights
//	A       the mean of the CIEDE2000 difference that the grade makes in the band
//	rim     A (mean inside of (m-a)+  +  mean outside of (a-m)+): the matte is harder
//	bleed   A (mean inside of (a-m)+  +  mean outside of (m-a)+): it is softer, or
//	        lies off the picture's edge
//	misfit  A rms(m - a), over inside and outside alike
//
// Means along the outline are taken before the comparison, for two reasons: they
// leave the picture's noise behind, and where an outline wanders about the true
// one, their a(s) is the fade that errs least on the whole, which is a softer one.
// So misfit is the part of the error, as an RMS in CIEDE2000, that softness can mend,
// without what wanders to both sides of the edge. On ten demo scenes the
// softness of least misfit is within 2 px of the one that errs least against the truth
// in all of 150 cases of mattes made from it, by 0.3 px in the mean, and in 27 of 30 of
// fitted picks (app/scene/staging, TestSeamLeadsToTheLeastError).
//
// What this cannot see: where a pick takes a pixel for its colour, the picture
// agrees with it. A matte that is wrong by whole regions is judged on its outline.
// Coverage looks for such regions: tiles of R/2 that look like the drop dabs and lie inside the
// matte, or like the keep dabs outside of it, in colours that go on across the matte's edge.
// VerdictOn puts both in a sentence, and says where it cannot tell.
//
// In frames of 3840 pixels and wider every other pixel each way is looked at, and
// so on.
package seam
