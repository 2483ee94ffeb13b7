package mask

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

func square(x, y, size float64) []Point {
	return []Point{{x, y}, {x + size, y}, {x + size, y + size}, {x, y + size}}
}

func threeKeys() Track {
	return Track{Keys: []Key{
		{Frame: 10, Way: Straight, Points: square(0, 0, 10), Inner: 1, Outer: 2, Opacity: 1},
		{Frame: 20, Way: Step, Points: square(10, 40, 20), Inner: 3, Outer: 2, Opacity: 0.5},
		{Frame: 30, Way: Curved, Points: square(30, 0, 10), Inner: 0, Outer: 8, Opacity: 0},
	}}
}

func TestTrackBetweenKeys(t *testing.T) {
	k := threeKeys()
	require.NoError(t, k.Check())
	for _, tt := range []struct {
		frame int
		want  Shape
	}{
		{-5, Shape{Points: square(0, 0, 10), Inner: 1, Outer: 2, Opacity: 1}},
		{10, Shape{Points: square(0, 0, 10), Inner: 1, Outer: 2, Opacity: 1}},
		{15, Shape{Points: square(5, 20, 15), Inner: 2, Outer: 2, Opacity: 0.75}},
		{29, Shape{Points: square(10, 40, 20), Inner: 3, Outer: 2, Opacity: 0.5}},
		{30, Shape{Points: square(30, 0, 10), Inner: 0, Outer: 8, Opacity: 0}},
		{99, Shape{Points: square(30, 0, 10), Inner: 0, Outer: 8, Opacity: 0}},
	} {
		assert.Equal(t, tt.want, k.At(tt.frame), "frame %d", tt.frame)
	}
}

// Fritsch and Carlson 1980, RPN14, as a point's way: its times are thousandths
// of a frame number.
func TestRPN14ThroughATrack(t *testing.T) {
	var k, five Track
	for _, r := range testdata.Table(t, "monotone_rpn14_nodes.csv") {
		frame := int(math.Round(r.Number("x") * 1000))
		y, printed := r.Number("f"), r.Number("f_printed")
		k.SetKey(Key{Frame: frame, Way: Curved, Points: []Point{{y, 0}, {9, -y}, {9, 9}}, Opacity: y})
		five.SetKey(Key{Frame: frame, Way: Curved, Points: []Point{{printed, 0}, {9, 0}, {9, 9}}, Inner: printed})
	}
	require.NoError(t, k.Check())
	published := 0
	for _, r := range testdata.Table(t, "monotone_rpn14_between.csv") {
		frame, want := int(math.Round(r.Number("x")*1000)), r.Number("y_pchip")
		s := k.At(frame)
		assert.InDelta(t, want, s.Points[0].X, 1e-11, "x at %s", r.Text("x"))
		assert.InDelta(t, -want, s.Points[1].Y, 1e-11, "y at %s", r.Text("x"))
		assert.InDelta(t, want, s.Opacity, 1e-11, "opacity at %s", r.Text("x"))
		if r.Text("y_printed") != "" {
			published++
			assert.InDelta(t, r.Number("y_printed"), five.At(frame).Points[0].X, 0.5e-4+1e-9, "published value at %s", r.Text("x"))
			assert.InDelta(t, r.Number("y_printed"), five.At(frame).Inner, 0.5e-4+1e-9, "published value at %s", r.Text("x"))
		}
	}
	assert.Equal(t, 11, published)
}

// The keys a value is taken from are all it depends on.
func TestTrackIsItsCurves(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		var k Track
		c := Curve{}
		frame := 0
		for range 1 + rnd.IntN(8) {
			frame += 1 + rnd.IntN(9)
			y, w := rnd.NormFloat64(), Way(rnd.IntN(3))
			c.add(float64(frame), y, w)
			k.SetKey(Key{Frame: frame, Way: w, Points: []Point{{0, 0}, {1, y}, {1, 1}}, Opacity: 1})
		}
		for f := range frame + 3 {
			require.Equal(t, c.At(float64(f)), k.At(f).Points[1].Y, "frame %d of %v", f, c)
		}
	}
}

func TestWhenATrackWorks(t *testing.T) {
	k := threeKeys()
	k.In, k.Out = Bound{true, 12}, Bound{true, 25}
	for frame, want := range map[int]bool{11: false, 12: true, 25: true, 26: false} {
		assert.Equal(t, want, k.Works(frame), "frame %d", frame)
		assert.Equal(t, !want, k.Layer(frame, true).Off, "frame %d", frame)
	}
	assert.Equal(t, Layer{Off: true}, k.Layer(11, false))
	assert.Equal(t, Layer{Shape: k.At(13), Drop: true}, k.Layer(13, true))
	k.Off = true
	assert.False(t, k.Works(13))
	assert.Equal(t, Layer{Off: true}, (&Track{}).Layer(0, false))
}

func TestTracksRefused(t *testing.T) {
	for want, change := range map[string]func(*Track){
		"mask: it has no key, want one or more":                                                             func(k *Track) { k.Keys = nil },
		"mask: in is frame 9, want at most out, frame 8":                                                    func(k *Track) { k.In, k.Out = Bound{true, 9}, Bound{true, 8} },
		"mask: key at frame 20 comes after that at frame 30, want rising frames":                            func(k *Track) { k.Keys[0], k.Keys[2] = k.Keys[2], k.Keys[0] },
		"mask: key at frame 20 has 3 points, want 4 as at frame 10, or the way there to follow the picture": func(k *Track) { k.Keys[1].Points = k.Keys[1].Points[:3] },
		"mask: key at frame 30: way is Way(7), want straight, step, curved or follow":                       func(k *Track) { k.Keys[2].Way = 7 },
		"mask: key at frame 10: opacity is -1, want 0 to 1":                                                 func(k *Track) { k.Keys[0].Opacity = -1 },
		"mask: key at frame 10: polygon has 2 points, want 3 or more":                                       func(k *Track) { k.Keys = k.Keys[:1]; k.Keys[0].Points = k.Keys[0].Points[:2] },
	} {
		k := threeKeys()
		change(&k)
		assert.EqualError(t, k.Check(), want)
	}
}

func TestKeysComeAndGo(t *testing.T) {
	k := threeKeys()
	k.SetKey(Key{Frame: 15, Points: square(1, 1, 1)})
	k.SetKey(Key{Frame: 30, Points: square(2, 2, 2)})
	assert.Equal(t, []int{10, 15, 20, 30}, frames(k))
	assert.Equal(t, square(2, 2, 2), k.At(40).Points)
	for _, f := range []int{11, 10, 15, 20, 30} {
		k.RemoveKey(f)
	}
	assert.Equal(t, []int{30}, frames(k), "the last key stays")
}

func frames(k Track) []int {
	var out []int
	for _, key := range k.Keys {
		out = append(out, key.Frame)
	}
	return out
}

func TestEditsReach(t *testing.T) {
	for _, tt := range []struct {
		frame  int
		reach  Reach
		frames []int
		moved  []bool
	}{
		{20, Here, []int{10, 20, 30}, []bool{false, true, false}},
		{15, Here, []int{10, 15, 20, 30}, []bool{false, true, false, false}},
		{20, Onward, []int{10, 20, 30}, []bool{false, true, true}},
		{25, Onward, []int{10, 20, 25, 30}, []bool{false, false, true, true}},
		{40, Onward, []int{10, 20, 30, 40}, []bool{false, false, false, true}},
		{5, Here, []int{5, 10, 20, 30}, []bool{true, false, false, false}},
		{15, Everywhere, []int{10, 20, 30}, []bool{true, true, true}},
	} {
		old := threeKeys()
		k := Track{Keys: slices.Clone(old.Keys)} // points shared
		k.Move(tt.frame, tt.reach, 100, -50)
		require.NoError(t, k.Check())
		assert.Equal(t, threeKeys(), old, "an older copy stays")
		assert.Equal(t, tt.frames, frames(k), "%+v", tt)
		for i, key := range k.Keys {
			want := old.At(key.Frame)
			if tt.moved[i] {
				want.Points = moved(want.Points, 1, 100, -50)
			}
			assert.Equal(t, want, k.At(key.Frame), "%+v at frame %d", tt, key.Frame)
		}
	}
	k := threeKeys()
	k.Change(15, Here, func(k *Key) { k.Inner = 9 })
	assert.Equal(t, Straight, k.Keys[1].Way, "a new key leads on as the one before")
	k.Change(25, Here, func(k *Key) { k.Inner = 9 })
	assert.Equal(t, Step, k.Keys[3].Way)
}

func TestTurnScaleMovePoint(t *testing.T) {
	k := threeKeys()
	k.Turn(10, Here, Point{5, 5}, 90)
	assert.InDeltaSlice(t, flat([]Point{{10, 0}, {10, 10}, {0, 10}, {0, 0}}), flat(k.At(10).Points), 1e-12, "from x to y")
	k.Turn(10, Everywhere, Point{0, 0}, 360)
	assert.InDeltaSlice(t, flat(square(10, 40, 20)), flat(k.At(20).Points), 1e-12)

	k = threeKeys()
	k.Scale(10, Everywhere, Point{0, 0}, 2, 3) // the corner of frame 10 lies at its centre less (5,5)
	assert.Equal(t, []Point{{0, 0}, {20, 0}, {20, 30}, {0, 30}}, k.At(10).Points)
	assert.Equal(t, []Point{{5, 30}, {45, 30}, {45, 90}, {5, 90}}, k.At(20).Points, "about (15,45)")

	require.NoError(t, k.MovePoint(30, Here, 2, 1, 2))
	assert.Equal(t, Point{30 + 20 + 1, 0 + 30 + 2}, k.At(30).Points[2])
	assert.EqualError(t, k.MovePoint(30, Here, 4, 1, 2), "mask: there is no point 5, want 1 to 4")
}

func flat(points []Point) []float64 {
	var out []float64
	for _, p := range points {
		out = append(out, p.X, p.Y)
	}
	return out
}

// A new point leaves a straight outline in place in every key.
func TestInsertOnAStraightOutline(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 10))
	for range 100 {
		old := randomTrack(rnd, false)
		k := old.Clone()
		side, u := rnd.IntN(len(k.Keys[0].Points)), rnd.Float64()
		_, err := k.InsertPoint(0, side, u)
		require.NoError(t, err)
		require.NoError(t, k.Check())
		for i := range k.Keys {
			before, after := old.Keys[i].Points, k.Keys[i].Points
			require.Len(t, after, len(before)+1)
			assert.Equal(t, before, slices.Delete(slices.Clone(after), side+1, side+2))
			assert.Less(t, toChord(after[side+1], before[side], before[(side+1)%len(before)]), 1e-6)
		}
		require.NoError(t, k.RemovePoint(0, side+1))
		assert.Equal(t, old, k, "taken out again")
	}
}

func randomTrack(rnd *rand.Rand, rounded bool) Track {
	k := Track{Rounded: rounded}
	n := 3 + rnd.IntN(12)
	for f := range 1 + rnd.IntN(4) {
		key := Key{Frame: f, Opacity: 1, Points: make([]Point, n)}
		for i := range key.Points {
			a := 2 * math.Pi * (float64(i) + 0.4*rnd.Float64()) / float64(n)
			r := 100 + 30*rnd.Float64()
			key.Points[i] = Point{1000 + r*math.Cos(a), 500 + r*math.Sin(a)}
		}
		k.SetKey(key)
	}
	return k
}

// A new point on a rounded outline is on it, and moves it by what is said.
func TestInsertOnARoundedOutline(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	for range 20 {
		old := randomTrack(rnd, true)
		k := old.Clone()
		side, u := rnd.IntN(len(k.Keys[0].Points)), 0.05+0.9*rnd.Float64()
		said, err := k.InsertPoint(0, side, u)
		require.NoError(t, err)
		worst := 0.0
		for i := range k.Keys {
			p := append(Outline(old.shape(old.Keys[i]), 1e-3), old.Keys[i].Points[0])
			q := append(Outline(k.shape(k.Keys[i]), 1e-3), k.Keys[i].Points[0])
			assert.Less(t, farthest(k.Keys[i].Points[side+1:side+2], p), 2e-3)
			worst = max(worst, farthest(p, q), farthest(q, p))
		}
		assert.InDelta(t, worst, said, 0.1+0.05*worst)
	}
}

// On a circle through n points, put in the middle of a side: the figures in
// InsertPoint's comment.
func TestInsertMovesARoundedOutlineBy(t *testing.T) {
	for _, n := range []int{6, 8, 12, 16, 24, 48} {
		k := Track{Rounded: true, Keys: []Key{{Points: make([]Point, n), Opacity: 1}}}
		for i := range n {
			a := 2 * math.Pi * float64(i) / float64(n)
			k.Keys[0].Points[i] = Point{500 + 300*math.Cos(a), 500 + 300*math.Sin(a)}
		}
		got, err := k.InsertPoint(0, 1, 0.5)
		require.NoError(t, err)
		side := 600 * math.Sin(math.Pi/float64(n))
		assert.Less(t, got, 0.02*side, "%d points", n)
	}
}

func TestPointsRefused(t *testing.T) {
	k := threeKeys()
	for side, u := range map[int]float64{0: 0, 1: 1, 2: math.NaN(), 3: -1} {
		_, err := k.InsertPoint(0, side, u)
		assert.ErrorContains(t, err, "want more than 0 and less than 1")
	}
	_, err := k.InsertPoint(0, 4, 0.5)
	assert.EqualError(t, err, "mask: there is no point 5, want 1 to 4")
	assert.EqualError(t, k.RemovePoint(0, -1), "mask: there is no point 0, want 1 to 4")
	require.NoError(t, k.RemovePoint(0, 0))
	assert.EqualError(t, k.RemovePoint(0, 0), "mask: polygon has 3 points, want more than 3 to take one away")
	assert.Equal(t, square(0, 0, 10)[1:], k.At(10).Points)
	assert.Equal(t, square(30, 0, 10)[1:], k.At(30).Points)
}

func TestKeysAreMovedAndCopied(t *testing.T) {
	track := func() *Track {
		at := func(frame int, x float64) Key {
			return Key{Frame: frame, Way: Step, Opacity: 1, Points: []Point{{x, 0}, {x + 1, 0}, {x, 1}}}
		}
		return &Track{Keys: []Key{at(10, 1), at(20, 2), at(30, 3)}}
	}
	frames := func(t *Track) (all [][2]float64) {
		for _, k := range t.Keys {
			all = append(all, [2]float64{float64(k.Frame), k.Points[0].X})
		}
		return all
	}
	for _, tt := range []struct {
		name     string
		from, to int
		copied   bool
		want     [][2]float64
	}{
		{"between its neighbours", 20, 25, false, [][2]float64{{10, 1}, {25, 2}, {30, 3}}},
		{"past one", 10, 25, false, [][2]float64{{20, 2}, {25, 1}, {30, 3}}},
		{"onto one", 10, 30, false, [][2]float64{{20, 2}, {30, 1}}},
		{"nowhere", 20, 20, false, [][2]float64{{10, 1}, {20, 2}, {30, 3}}},
		{"before all", 30, -4, false, [][2]float64{{-4, 3}, {10, 1}, {20, 2}}},
		{"copied", 10, 25, true, [][2]float64{{10, 1}, {20, 2}, {25, 1}, {30, 3}}},
		{"copied onto one", 10, 20, true, [][2]float64{{10, 1}, {20, 1}, {30, 3}}},
		{"copied onto itself", 10, 10, true, [][2]float64{{10, 1}, {20, 2}, {30, 3}}},
	} {
		k := track()
		if tt.copied {
			require.True(t, k.CopyKey(tt.from, tt.to), tt.name)
		} else {
			require.True(t, k.MoveKey(tt.from, tt.to), tt.name)
		}
		assert.Equal(t, tt.want, frames(k), tt.name)
		assert.NoError(t, k.Check(), tt.name)
		assert.Equal(t, Step, k.Keys[0].Way, tt.name)
	}
	k := track()
	assert.False(t, k.MoveKey(11, 20))
	assert.False(t, k.CopyKey(11, 20))
	assert.Equal(t, frames(track()), frames(k), "there was none")

	require.True(t, k.CopyKey(10, 15))
	k.Keys[1].Points[0].X = 99
	assert.EqualValues(t, 1, k.Keys[0].Points[0].X, "a copy has points of its own")

	lone := &Track{Keys: track().Keys[:1]}
	require.True(t, lone.MoveKey(10, 12))
	assert.Equal(t, [][2]float64{{12, 1}}, frames(lone), "the last one can be moved too")
}

// A key that comes to stand beside keys with other points follows the picture from and to them.
func TestKeysAreMovedAndCopiedAcrossStretches(t *testing.T) {
	with := func(points int, frame int, way Way) Key {
		return Key{Frame: frame, Way: way, Points: circle(20, 20, 8, points), Opacity: 1}
	}
	keys := func() *Track {
		return &Track{Keys: []Key{with(4, 1, Straight), with(4, 10, Follow), with(6, 20, Straight), with(6, 30, Curved)}}
	}
	ways := func(t *Track) (all []Way) {
		for _, k := range t.Keys {
			all = append(all, k.Way)
		}
		return all
	}
	moved := keys()
	require.True(t, moved.MoveKey(20, 5))
	require.NoError(t, moved.Check())
	assert.Equal(t, []Way{Follow, Follow, Follow, Curved}, ways(moved))
	moved = keys()
	require.True(t, moved.MoveKey(20, 40))
	require.NoError(t, moved.Check())
	assert.Equal(t, []Way{Straight, Follow, Curved, Straight}, ways(moved), "nothing else changes")
	copied := keys()
	require.True(t, copied.CopyKey(1, 25))
	require.NoError(t, copied.Check())
	assert.Equal(t, []Way{Straight, Follow, Follow, Follow, Curved}, ways(copied))
	copied = keys()
	require.True(t, copied.CopyKey(1, 5))
	assert.Equal(t, []Way{Straight, Straight, Follow, Straight, Curved}, ways(copied))
	require.NoError(t, copied.Check())
}
