package mask

import (
	"fmt"
	"math"
	"slices"
)

// TakeOutline makes a straight outline the track's shape at a frame, with as many points as
// it has. The key there, made if need be, keeps its feather, opacity and way.
//
// Other keys stay as they look. Those that have the points of this one get the further points on
// their sides, each where the side leads to the same stretch of the outline; a rounded track with
// such keys is an error, for its curves would change. A track that is rounded for the sake of
// other keys stays so: the curve goes along the outline then, within half a pixel.
func (t *Track) TakeOutline(frame int, outline []Point, tight bool) error {
	if !t.KeysElsewhere(frame) {
		t.Rounded = false
		t.putOutline(frame, outline, tight)
		return nil
	}
	if t.Alone(frame) {
		if t.Rounded {
			outline = curvedAlong(outline)
		}
		t.putOutline(frame, outline, tight)
		return nil
	}
	if t.CurvesElsewhere(frame) {
		return fmt.Errorf("mask: it is rounded and has keys at other frames, whose curves would change, want straight sides there")
	}
	k := t.keyAt(frame)
	k.Tight = tight
	if DoubleArea(k.Points)*DoubleArea(outline) < 0 {
		outline = slices.Clone(outline)
		slices.Reverse(outline)
	}
	sides, err := matched(k.Points, outline)
	if err != nil {
		return err
	}
	k.Points = nil
	for _, s := range sides {
		side := len(k.Points)
		k.Points = append(k.Points, s.points...)
		for _, u := range slices.Backward(s.splits()) {
			if _, err := t.InsertPoint(frame, side, u); err != nil {
				return err
			}
		}
	}
	t.SetKey(k)
	return nil
}

// Redraw gives the track an outline of its own at a frame, drawn anew with any number of points: a key
// there, made if need be, that is not tight and keeps its feathers, opacity and way. It is an error
// where other keys have the points of that one.
func (t *Track) Redraw(frame int, points []Point) error {
	if t.KeysElsewhere(frame) && !t.Alone(frame) {
		return fmt.Errorf("mask: keys at other frames have the points of that at frame %d, want ways to and from it that follow the picture", frame)
	}
	t.putOutline(frame, points, false)
	return nil
}

// putOutline gives the key at a frame, made if need be, points that no other key has.
func (t *Track) putOutline(frame int, outline []Point, tight bool) {
	t.MakeKey(frame)
	k := t.keyAt(frame)
	k.Points, k.Tight = slices.Clone(outline), tight
	t.SetKey(k)
}

// curvedAlong adds points to a straight closed outline until the smooth curve through all of
// them lies within half a pixel of it.
func curvedAlong(outline []Point) []Point {
	const slack, rounds = 0.5, 8
	points := slices.Clone(outline)
	for range rounds {
		s := Shape{Points: points, Rounded: true}
		var denser []Point
		for i, a := range points {
			b := points[(i+1)%len(points)]
			denser = append(denser, a)
			curve := []Point{s.OnSide(i, 0.25), s.OnSide(i, 0.5), s.OnSide(i, 0.75)}
			if farthest(curve, []Point{a, b}) > slack {
				denser = append(denser, Point{(a.X + b.X) / 2, (a.Y + b.Y) / 2})
			}
		}
		if len(denser) == len(points) {
			break
		}
		points = denser
	}
	return points
}

// KeysElsewhere reports whether the track has keys at other frames than this one.
func (t *Track) KeysElsewhere(frame int) bool {
	return slices.ContainsFunc(t.Keys, func(k Key) bool { return k.Frame != frame })
}

// CurvesElsewhere reports whether the track is rounded and other keys have the points of that
// at a frame: further points would change their curves.
func (t *Track) CurvesElsewhere(frame int) bool {
	return t.Rounded && t.KeysElsewhere(frame) && !t.Alone(frame)
}

// DoubleArea is twice the area about which a closed line runs, above 0 where it lies to
// the right on the screen.
func DoubleArea(line []Point) (sum float64) {
	for i, p := range line {
		q := line[(i+1)%len(line)]
		sum += float64(p.X*q.Y) - float64(q.X*p.Y)
	}
	return sum
}

// A stretch is what one side of a polygon becomes on another outline: the first point is
// its corner's.
type stretch struct {
	points []Point
	at     []float64 // how far along the outline each lies
	end    float64   // how far the next corner's does
}

// splits are the places of the points after the first on the side, each as the share of
// the way from the corner to the point behind it: to be inserted from the last to the first.
func (s stretch) splits() []float64 {
	shares := make([]float64, len(s.at)-1)
	next := s.end
	for j := len(s.at) - 1; j > 0; j-- {
		shares[j-1] = (s.at[j] - s.at[0]) / (next - s.at[0])
		next = s.at[j]
	}
	return shares
}

// matched leads each corner of a polygon to a place on an outline, in turn and so that the
// sum of their squared distances is least, and returns what lies between them.
func matched(corners, outline []Point) ([]stretch, error) {
	n := len(corners)
	places, vertices := placesOn(outline, 2*n)
	if len(places) < n {
		return nil, fmt.Errorf("mask: outline goes about nothing")
	}
	length := places[len(places)-1].at
	places = places[:len(places)-1]
	found := inTurn(corners, places)
	sides := make([]stretch, n)
	for i, j := range found {
		from, to := places[j], places[found[(i+1)%n]]
		s := stretch{[]Point{from.Point}, []float64{from.at}, to.at}
		if s.end <= from.at {
			s.end += length
		}
		for lap := range 2 {
			for _, v := range vertices {
				if at := v.at + float64(lap)*length; at > from.at && at < s.end {
					s.points, s.at = append(s.points, v.Point), append(s.at, at)
				}
			}
		}
		sides[i] = s
	}
	return sides, nil
}

// A place is a point of an outline, so far along it from its first point.
type place struct {
	Point
	at float64
}

// placesOn returns the vertices of a closed outline, and places on it: these vertices, some
// between them so that there are at least so many, and last the first once more, at its end.
func placesOn(outline []Point, least int) (places, vertices []place) {
	whole := 0.0
	for i, p := range outline {
		whole += distance(p, outline[(i+1)%len(outline)])
	}
	step := whole / float64(least)
	at := 0.0
	for i, p := range outline {
		q := outline[(i+1)%len(outline)]
		side := distance(p, q)
		if side == 0 {
			continue
		}
		vertices = append(vertices, place{p, at})
		pieces := math.Ceil(side / step)
		for j := range int(pieces) {
			u := float64(j) / pieces
			places = append(places, place{Point{p.X + float64(u*(q.X-p.X)), p.Y + float64(u*(q.Y-p.Y))}, at + float64(u*side)})
		}
		at += side
	}
	if len(vertices) > 0 {
		places = append(places, place{vertices[0].Point, at})
	}
	return places, vertices
}

func distance(p, q Point) float64 { return length(Point{q.X - p.X, q.Y - p.Y}) }

// inTurn returns which place each corner goes to, all different and in turn about the
// outline, so that the sum of squared distances is least. It tries each place for the first
// corner.
func inTurn(corners []Point, places []place) []int {
	n, k := len(corners), len(places)
	best, found := math.Inf(1), make([]int, n)
	cost, from := make([]float64, k), make([]int, n*k)
	square := func(corner, p int) float64 {
		d := distance(corners[corner], places[p%k].Point)
		return d * d
	}
	for first := range k {
		for j := range cost {
			cost[j] = math.Inf(1)
		}
		cost[0] = square(0, first)
		for i := 1; i < n; i++ {
			least, at := math.Inf(1), 0
			before := math.Inf(1)
			for j := range k {
				if before < least {
					least, at = before, j-1
				}
				before, cost[j] = cost[j], least+square(i, first+j)
				from[i*k+j] = at
			}
		}
		last := 0
		for j, c := range cost {
			if c < cost[last] {
				last = j
			}
		}
		if cost[last] >= best {
			continue
		}
		best = cost[last]
		for i, j := n-1, last; i >= 0; i-- {
			found[i] = (first + j) % k
			j = from[i*k+j]
		}
	}
	return found
}
