// Package edge leads a drawn outline to the edge of what it encloses.
//
// The edge is the least cut of a network over the pixels inside the outline (Boykov &
// Jolly 2001), found by the algorithm of Boykov & Kolmogorov 2004. A pixel's cost says how
// well its colour goes with those deep inside the outline and those about it, by mixtures
// of Gaussians in CIELAB, and how deep below the outline it lies; a link's cost says how
// alike two neighbours are. The edge is then found once more in a narrow band (Xu, Bansal
// & Ahuja 2003; Lombaert, Sun, Grady & Xu 2005), with local models of colour (Bai, Wang,
// Simons & Sapiro 2009).
//
//	outline -> depths -> colours -> cut -> parts in dispute -> local colours -> cut in a band
//	-> (the same at full size, for pictures of more than 1.5 times 1080 lines) -> soft edge
//
// What is outside the outline stays outside: an outline is to enclose its subject. A tight
// outline lies on the edge, which is then looked for on both sides of it. Where the subject seems
// to go on beyond the line of another, Found.Crossings says so.
//
// All lengths are those of a picture of 1080 lines or less, and grow with larger ones.
// Costs are whole numbers and the least of the cheapest insides is taken, so that the same
// build gives the same bytes for any number of workers. Builds that fuse multiplications
// and additions may differ at single pixels.
package edge
