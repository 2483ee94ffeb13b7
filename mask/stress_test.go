package mask

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// Tangles: many points on few grid units, where every crossing moves to the
// grid and meets others there.
func TestTangles(t *testing.T) {
	rnd := rand.New(rand.NewPCG(21, 22))
	for _, reach := range []int64{3, 8, 30, 200, 5000, 1 << 20, 1 << 34} {
		for range 60 {
			corners := make([]spot, 3+rnd.IntN(30))
			for i := range corners {
				corners[i] = spot{rnd.Int64N(reach), rnd.Int64N(reach)}
			}
			all, err := planar(edges(corners))
			require.NoError(t, err, "%v", corners)
			cuts, err := meetings(all)
			require.NoError(t, err)
			require.Empty(t, cuts, "%v", corners)
			g := graphOf(all)
			requireClosed(t, g, corners)
		}
	}
}

// requireClosed demands that around every node the turns add up to 0, that
// chains carry the windings that counting gives, and that as many borders
// begin as end everywhere.
func requireClosed(t *testing.T, g *graph, corners []spot) {
	t.Helper()
	windings := g.windings()
	for i, e := range g.edges {
		require.Equal(t, g.windingAt(i), windings[i], "%v of %v", e, corners)
	}
	surplus := map[spot]int{}
	for _, e := range g.edges {
		surplus[e.a] += e.turns
		surplus[e.b] -= e.turns
	}
	for _, b := range g.area(windings).borders {
		surplus[b.from] += 1 << 20
		surplus[b.to] -= 1 << 20
	}
	for at, n := range surplus {
		require.Zero(t, n, "at %v of %v", at, corners)
	}
}

// An outline of many thousand crossings is drawn; one of millions is refused.
func TestScribble(t *testing.T) {
	rnd := rand.New(rand.NewPCG(23, 24))
	s := Shape{Opacity: 1, Inner: 1, Outer: 1}
	for range 300 {
		s.Points = append(s.Points, Point{rnd.Float64() * 300, rnd.Float64() * 200})
	}
	checkWeights(t, draw(t, s, Whole(300, 200), 2))
	for range 3000 {
		s.Points = append(s.Points, Point{rnd.Float64() * 300, rnd.Float64() * 200})
	}
	var p colour.Plane
	err := s.Draw(context.Background(), &p, Whole(300, 200), 2)
	assert.EqualError(t, err, "mask: outline crosses itself too often, want fewer points or crossings")
}
