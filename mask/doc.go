// Package mask draws feathered polygons and moves them over time.
//
//	points     float64, source pixels; pixel (x,y) covers [x,x+1) x [y,y+1), y points down
//	feather    pixels of the source, also where the picture is drawn smaller
//	weights    float32 in [0,1], never NaN
//	frames     the source's own numbers
//
// A polygon fills what its outline winds around at least once, in either
// direction (non-zero winding, as in SVG 2 'fill-rule'). Where the outline
// crosses itself, pieces of it lie inside what is filled; they do not count as
// edge. A rounded outline is the closed centripetal Catmull-Rom curve through
// the points (E. Catmull and R. Rom 1974; P. J. Barry and R. N. Goldman 1988).
//
// Let d be the Euclidean distance from a pixel's centre to the edge of what is
// filled, positive inside. A pixel's weight rises from 0 at d = -outer to 1 at
// d = inner by smoothstep, 3u^2 - 2u^3. Without feather it is the share of the
// pixel's area that is filled. Under one pixel of feather in all, the two are
// blended linearly, so that nothing jumps as a feather opens.
//
// Outlines live on a grid of 1/65536 pixel: they are cut where they meet, and
// drawn, in whole numbers. So a shape moved by whole pixels gives the same
// weights moved, a part of a picture the same as the whole, and any number of
// workers, on any machine of one word size, the same bits.
//
// Numbers between two keys: see [Curve].
package mask
