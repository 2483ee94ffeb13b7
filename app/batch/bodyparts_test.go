package batch

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// slowKeyPlaces tries every choice.
func slowKeyPlaces(hulls []hull, frames []int, n int) (least float64) {
	least = math.Inf(1)
	var choose func(places []int)
	choose = func(places []int) {
		last := places[len(places)-1]
		if last == len(hulls)-1 {
			least = min(least, worstBetween(hulls, frames, places))
			return
		}
		if len(places) == n {
			return
		}
		for next := last + 1; next < len(hulls); next++ {
			choose(append(slices.Clone(places), next))
		}
	}
	choose([]int{0})
	return least
}

func worstBetween(hulls []hull, frames []int, places []int) (worst float64) {
	for i, p := range places[1:] {
		worst = max(worst, shortfall(hulls[places[i]:p+1], frames[places[i]:p+1]))
	}
	return worst
}

func TestKeysLieWhereTheyServeBest(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 30 {
		count := 3 + r.IntN(8)
		hulls, frames := make([]hull, count), make([]int, count)
		frame := 0
		for i := range hulls {
			frame += 1 + r.IntN(3)
			frames[i] = frame
			hulls[i] = hull{100 * r.Float64(), 100 * r.Float64(), 10 * math.Sin(float64(i))}
		}
		n := 2 + r.IntN(4)
		places := keyPlaces(hulls, frames, n)
		require.LessOrEqual(t, len(places), n)
		require.True(t, slices.IsSorted(places))
		require.Equal(t, []int{0, count - 1}, []int{places[0], places[len(places)-1]})
		require.InDelta(t, slowKeyPlaces(hulls, frames, n), worstBetween(hulls, frames, places), 1e-9)
	}
}

// discs returns a truth of 200 x 120 pixels that is 1 within some discs.
func discs(at ...[3]float64) colour.Plane {
	truth := colour.NewPlane(200, 120)
	for y := range truth.H {
		for x := range truth.W {
			for _, d := range at {
				if math.Hypot(float64(x)+0.5-d[0], float64(y)+0.5-d[1]) < d[2] {
					truth.Row(y)[x] = 1
				}
			}
		}
	}
	return truth
}

func TestMasksFollowTheParts(t *testing.T) {
	var bodies []body
	var truths []colour.Plane
	frames := []int{1, 3, 5, 7, 9, 11, 13, 15, 17}
	for _, n := range frames {
		move := 20 * math.Sin(0.4*float64(n))
		truth := discs([3]float64{40 + move, 80, 10}, [3]float64{60, 95, 6}, [3]float64{150, 40 - move, 12})
		truths, bodies = append(truths, truth), append(bodies, bodyOf(truth))
	}
	s := study.New(study.Clip{Path: "frame.png", First: 1, Count: 17})
	m := s.AddMatte("skin", selection.LCh)
	addBody(s, m, bodies, frames)
	require.NoError(t, s.Validate())
	require.Len(t, m.Masks, 2)
	assert.Equal(t, []string{armsName, legsName}, []string{m.Masks[0].Name, m.Masks[1].Name}, "arms reach lowest")
	for i := range m.Masks {
		require.Len(t, m.Masks[i].Keys, swimmerKeys)
		require.Equal(t, []int{1, 17}, []int{m.Masks[i].Keys[0].Frame, m.Masks[i].Keys[swimmerKeys-1].Frame})
	}
	for i, n := range frames {
		requireClear(t, m, truths[i], n)
	}

	whole := study.New(study.Clip{Path: "frame.png", First: 1, Count: 1})
	m = whole.AddMatte("skin", selection.LCh)
	addBody(whole, m, []body{bodyOf(discs([3]float64{40, 80, 10}))}, []int{1})
	require.Len(t, m.Masks, 1)
	require.Equal(t, swimmerName, m.Masks[0].Name)
	addBody(whole, whole.AddMatte("none", selection.LCh), []body{bodyOf(discs())}, []int{1})
	require.Empty(t, whole.Mattes[1].Masks)
}

// requireClear asserts that on a frame that is a key of a mask, all of the truth
// on the mask's side of the picture lies 8 pixels and more within it.
func requireClear(t *testing.T, m *study.Matte, truth colour.Plane, frame int) {
	t.Helper()
	b := bodyOf(truth)
	for i := range m.Masks {
		k := &m.Masks[i]
		at := slices.IndexFunc(k.Keys, func(k study.MaskKey) bool { return k.Frame == frame })
		if at < 0 {
			continue
		}
		points := k.Keys[at].Points
		from, to := widestGap(truth)
		own := (b.parts[0].lowest() > b.parts[1].lowest()) == (k.Name == armsName) // to the left
		for y := range truth.H {
			for x, v := range truth.Row(y) {
				if v <= 0 || (x <= from) != own && (x >= to) == own {
					continue
				}
				for _, p := range []mask.Point{{X: float64(x), Y: float64(y)}, {X: float64(x + 1), Y: float64(y + 1)}, {X: float64(x), Y: float64(y + 1)}, {X: float64(x + 1), Y: float64(y)}} {
					require.GreaterOrEqual(t, clearance(points, p), 8.0, "%s at frame %d, pixel %d, %d", k.Name, frame, x, y)
				}
			}
		}
	}
}

// What lies within a hull's outline is what lies on its side of every line.
func TestBodyContainsItsOutline(t *testing.T) {
	truth := discs([3]float64{40, 80, 10}, [3]float64{60, 95, 6}, [3]float64{150, 40, 12})
	b := bodyOf(truth)
	in := b.within(truth.W, truth.H)
	for y := range truth.H {
		for x, v := range in.Row(y) {
			p := mask.Point{X: float64(x) + 0.5, Y: float64(y) + 0.5}
			most := max(clearance(b.parts[0].outline(swimmerClear), p), clearance(b.parts[1].outline(swimmerClear), p))
			if math.Abs(most) > 0.2 { // vertices are rounded
				require.Equal(t, most > 0, v == 1, "pixel %d, %d", x, y)
			}
		}
	}
}
