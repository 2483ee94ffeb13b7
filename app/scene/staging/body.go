package staging

import (
	"slices"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// The volunteer's clothes divide the skin in two: head and arms to one side, legs
// to the other. A mask about each leaves most of the sand out that one about
// both would take in, and each can move with what it is about. They are rough
// outlines, as a person would draw in a minute.
const (
	armsName  = "head and arms"
	legsName  = "legs"
	wholeName = "swimmer" // of a mask about all of the skin

	skinVertices = 24
	// skinClear is how far an outline stays off the true skin, in pixels: a
	// little more than 8, so that pixels' corners do too.
	skinClear = 9
	// skinFeather is how far a mask fades outward.
	skinFeather = 4
	// skinKeys is how many keys a mask gets at most.
	skinKeys = 6
)

// A body is where the skin of one frame lies: the hulls of its two parts from
// left to right, the second nil where it is all one.
type body struct {
	parts [2]hull
}

// trunkShare is the share of the frame's width from which a gap between skin and
// skin is the trunk.
const trunkShare = 0.06

// bodyOf finds the parts of the true skin, on the two sides of the widest gap.
func bodyOf(truth colour.Plane) body {
	from, to := widestGap(truth)
	if float64(to-from) < trunkShare*float64(truth.W) {
		return body{[2]hull{hullOf(truth, 0, truth.W, skinVertices)}}
	}
	return body{[2]hull{hullOf(truth, 0, to, skinVertices), hullOf(truth, to, truth.W, skinVertices)}}
}

// within returns 1 where the masks about the parts would be, 0 elsewhere.
func (b body) within(w, h int) colour.Plane {
	out := colour.NewPlane(w, h)
	for _, part := range b.parts {
		if part == nil {
			continue
		}
		for y := range h {
			from, to := part.span(float64(y)+0.5, skinClear)
			row := out.Row(y)
			for x := range row {
				if at := float64(x) + 0.5; at >= from && at <= to {
					row[x] = 1
				}
			}
		}
	}
	return out
}

// widestGap returns the columns between which, without them, the most neighbouring
// columns are empty, and something lies to either side.
func widestGap(truth colour.Plane) (from, to int) {
	last := -1
	for x := range truth.W {
		if !anyIn(truth, x) {
			continue
		}
		if last >= 0 && x-last > to-from {
			from, to = last, x
		}
		last = x
	}
	return from, to
}

func anyIn(p colour.Plane, x int) bool {
	for i := x; i < len(p.Pix); i += p.W {
		if p.Pix[i] > 0 {
			return true
		}
	}
	return false
}

// addBody gives the matte a mask about each part, with keys where they keep it
// nearest to the part in between. bodies are those of the frames given. Frames
// that show no two parts make do with one mask about all.
func addBody(s *study.Study, m *study.Matte, bodies []body, frames []int) {
	var parts [2][]hull
	for _, b := range bodies {
		for i, h := range b.parts {
			if h != nil {
				parts[i] = append(parts[i], h)
			}
		}
	}
	names := [2]string{armsName, legsName}
	switch {
	case len(parts[0]) < len(bodies):
		return
	case len(parts[1]) < len(bodies):
		parts, names[0] = [2][]hull{joined(bodies)}, wholeName
	case parts[0][0].lowest() < parts[1][0].lowest(): // a hand is on the sand
		names = [2]string{legsName, armsName}
	}
	for i, hulls := range parts {
		if hulls != nil {
			addKeyed(s, m, names[i], hulls, frames)
		}
	}
}

// lowest returns how far down the frame a hull reaches.
func (h hull) lowest() float64 { return h[len(h)/4] }

// joined returns the hulls about both parts of each body.
func joined(bodies []body) []hull {
	out := make([]hull, len(bodies))
	for i, b := range bodies {
		out[i] = slices.Clone(b.parts[0])
		for k, v := range b.parts[1] {
			out[i][k] = max(out[i][k], v)
		}
	}
	return out
}

// addKeyed gives the matte a mask about the hulls, with keys where they serve best.
func addKeyed(s *study.Study, m *study.Matte, name string, hulls []hull, frames []int) {
	var track *study.Mask
	for _, i := range keyPlaces(hulls, frames, skinKeys) {
		key := skinKey(frames[i], hulls[i].outline(skinClear))
		if track == nil {
			track = s.AddMask(m, name, study.Keep, key)
		} else {
			track.SetKey(key)
		}
	}
}

// skinKey is a key of a mask about skin.
func skinKey(frame int, points []mask.Point) study.MaskKey {
	return study.MaskKey{Frame: frame, Points: points, Outer: skinFeather, Opacity: 1}
}
