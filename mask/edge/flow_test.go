package edge

import (
	"image"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// plainCut finds the least cut by the definition of its flow: L. R. Ford & D. R. Fulkerson
// 1956, with the shortest ways of J. Edmonds & R. M. Karp 1972. It returns the cost and the
// pixels that can still be reached from the source.
func plainCut(w, h int, spare []int32, room func(at, d int) int32) (cost int64, reached []bool) {
	n := w * h
	source, sink := n, n+1
	capacity := make([]map[int]int32, n+2)
	for i := range capacity {
		capacity[i] = map[int]int32{}
	}
	for i, s := range spare {
		if s > 0 {
			capacity[source][i] = s
		} else if s < 0 {
			capacity[i][sink] = -s
		}
		for d := range 8 {
			if r := room(i, d); r > 0 {
				x, y := i%w+[8]int{-1, 0, 1, -1, 1, -1, 0, 1}[d], i/w+[8]int{-1, -1, -1, 0, 0, 1, 1, 1}[d]
				if x >= 0 && y >= 0 && x < w && y < h {
					capacity[i][y*w+x] = r
				}
			}
		}
	}
	for {
		from := make([]int, n+2)
		for i := range from {
			from[i] = -1
		}
		from[source] = source
		queue := []int{source}
		for len(queue) > 0 && from[sink] < 0 {
			at := queue[0]
			queue = queue[1:]
			for to, c := range capacity[at] {
				if c > 0 && from[to] < 0 {
					from[to] = at
					queue = append(queue, to)
				}
			}
		}
		if from[sink] < 0 {
			reached = make([]bool, n)
			for i := range reached {
				reached[i] = from[i] >= 0
			}
			return cost, reached
		}
		most := int32(1 << 30)
		for at := sink; at != source; at = from[at] {
			most = min(most, capacity[from[at]][at])
		}
		for at := sink; at != source; at = from[at] {
			capacity[from[at]][at] -= most
			capacity[at][from[at]] += most
		}
		cost += int64(most)
	}
}

// randomNetwork builds the same network twice, and returns the plain one's cut.
func randomNetwork(g *network, r *rand.Rand, w, h int, most int32) (int64, []bool) {
	g.reset(image.Rect(0, 0, w, h))
	spare := make([]int32, w*h)
	rooms := make([][8]int32, w*h)
	for y := range h {
		for x := range w {
			if r.IntN(4) > 0 {
				spare[y*w+x] = r.Int32N(2*most+1) - most
			}
			g.prefer(g.index(x, y), spare[y*w+x])
			for d := 4; d < 8; d++ {
				nx, ny := x+[4]int{1, -1, 0, 1}[d-4], y+[4]int{0, 1, 1, 1}[d-4]
				if nx < 0 || nx >= w || ny >= h || r.IntN(5) == 0 {
					continue
				}
				c := r.Int32N(most/2 + 1)
				g.link(g.index(x, y), d, uint16(c))
				rooms[y*w+x][d], rooms[ny*w+nx][7-d] = c, c
			}
		}
	}
	return plainCut(w, h, spare, func(at, d int) int32 { return rooms[at][d] })
}

// The cut is the one that the plain algorithm finds: of the least cost, with the fewest
// pixels inside.
func TestCutIsThePlainOne(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var g network
	for round := range 1500 {
		w, h := 1+r.IntN(9), 1+r.IntN(9)
		_, want := randomNetwork(&g, r, w, h, []int32{3, 20, 1000}[round%3])
		require.NoError(t, g.cut(t.Context()))
		for i, in := range want {
			require.Equal(t, in, g.isInside(g.index(i%w, i/w)), "round %d, %d x %d, pixel %d", round, w, h, i)
		}
	}
}

// A way may be longer than a node keeps: a strip that winds over the whole grid, from the
// source at its one end to the sink at the other. It is cut where it is thinnest.
func TestTheCutOfAVeryLongWay(t *testing.T) {
	const w, h = 400, 401 // the strip lies in every second row and joins them in turn at both sides
	type step struct{ x, y, d int }
	var way []step
	for y := 0; y < h; y += 2 {
		for k := range w - 1 {
			if y/2%2 == 0 {
				way = append(way, step{k, y, 4})
			} else {
				way = append(way, step{w - 1 - k, y, 3})
			}
		}
		if y+2 < h {
			x := (w - 1) * (1 - y/2%2)
			way = append(way, step{x, y, 6}, step{x, y + 1, 6})
		}
	}
	require.Greater(t, len(way), maxDist)
	for _, thin := range []int{3, len(way) / 2, len(way) - 3} {
		var g network
		g.reset(image.Rect(0, 0, w, h))
		for i, s := range way {
			cost := uint16(9)
			if i == thin {
				cost = 5
			}
			g.link(g.index(s.x, s.y), s.d, cost)
		}
		last := way[len(way)-1]
		g.prefer(g.index(0, 0), 100)
		g.prefer(g.index(last.x+1, last.y), -100)
		require.NoError(t, g.cut(t.Context()))
		for i, s := range way {
			require.Equal(t, i <= thin, g.isInside(g.index(s.x, s.y)), "step %d of %d, thin at %d", i, len(way), thin)
		}
	}
}
