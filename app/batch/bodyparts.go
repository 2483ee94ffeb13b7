package batch

import (
	"slices"

	"halocline/app/study"
	"halocline/colour"
)

// The volunteer's clothes divide the skin in two: head and arms to one side, legs
// to the other. A mask about each leaves most of the sand out that one about
// both would take in, and each can move with what it is about.
const (
	armsName = "head and arms"
	legsName = "legs"
	// swimmerKeys is how many keys a mask gets at most.
	swimmerKeys = 6
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
		return body{[2]hull{hullOf(truth, 0, truth.W, swimmerVertices)}}
	}
	return body{[2]hull{hullOf(truth, 0, to, swimmerVertices), hullOf(truth, to, truth.W, swimmerVertices)}}
}

// within returns 1 where the masks about the parts would be, 0 elsewhere.
func (b body) within(w, h int) colour.Plane {
	out := colour.NewPlane(w, h)
	for _, part := range b.parts {
		if part == nil {
			continue
		}
		for y := range h {
			from, to := part.span(float64(y)+0.5, swimmerClear)
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
// nearest to the part in between. bodies are those of the frames given. Frames that show no two parts make do with one mask about all.
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
		parts, names[0] = [2][]hull{joined(bodies)}, swimmerName
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

func addKeyed(s *study.Study, m *study.Matte, name string, hulls []hull, frames []int) {
	var track *study.Mask
	for _, i := range keyPlaces(hulls, frames, swimmerKeys) {
		key := swimmerKey(frames[i], hulls[i].outline(swimmerClear))
		if track == nil {
			track = s.AddMask(m, name, study.Keep, key)
		} else {
			track.SetKey(key)
		}
	}
}

// shortfall returns by how much, at most, what lies straight between the first
// and the last hull falls short of those in between, in pixels.
func shortfall(hulls []hull, frames []int) float64 {
	most := 0.0
	n := len(hulls) - 1
	for i := 1; i < n; i++ {
		u := float64(frames[i]-frames[0]) / float64(frames[n]-frames[0])
		for k, v := range hulls[i] {
			most = max(most, v-(1-u)*hulls[0][k]-u*hulls[n][k])
		}
	}
	return most
}

// keyPlaces returns up to n places, first and last among them, between which the
// way from hull to hull falls least short at worst.
func keyPlaces(hulls []hull, frames []int, n int) []int {
	count := len(hulls)
	if count <= n {
		all := make([]int, count)
		for i := range all {
			all[i] = i
		}
		return all
	}
	// worst[j] is the least that can be had up to place j with the keys so far,
	// before[k][j] where the key before it is then.
	worst := make([]float64, count)
	before := make([][]int, n)
	for j := range worst {
		worst[j] = shortfall(hulls[:j+1], frames[:j+1])
	}
	for k := 2; k < n; k++ {
		next := make([]float64, count)
		before[k] = make([]int, count)
		for j := range next {
			next[j] = worst[j] // one key less, where another does no good
			for i := range j {
				if v := max(worst[i], shortfall(hulls[i:j+1], frames[i:j+1])); v < next[j] {
					next[j], before[k][j] = v, i
				}
			}
		}
		worst = next
	}
	places := []int{count - 1}
	for k := n - 1; k > 1; k-- {
		if i := before[k][places[0]]; i > 0 {
			places = append([]int{i}, places...)
		}
	}
	return append([]int{0}, places...)
}
