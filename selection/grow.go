package selection

import (
	"context"
	"math"
	"math/bits"

	"halocline/colour"
)

// growTile is the side of the squares that are passed over where nothing in
// reach is larger than the least within.
const growTile = 64

func growReach(radius float64) int { return int(math.Ceil(math.Abs(radius))) }

// grower is grey dilation and erosion by a disc.
//
// Alpha is compared by its bits, which are in its order; for erosion they are
// turned round, so that there is one algorithm, and what takes no part has the
// least. A disc is a stack of chords, and a chord's maximum that of two
// stretches whose lengths are a power of two.
type grower struct {
	keys   []int32
	tiles  []growSpan // of keys
	strips colour.Pool[growStrip]
}

// growSpan is the least and the largest key of a tile, of what takes part for the least.
type growSpan struct{ least, most int32 }

func (g *grower) run(ctx context.Context, dst, src *colour.Plane, in domain, radius float64, workers int) error {
	in.begin(dst, src)
	if in.Empty() {
		return ctx.Err()
	}
	w, h := in.Size()
	g.keys = colour.Resized(g.keys, w*h)
	across := (w + growTile - 1) / growTile
	g.tiles = colour.Resized(g.tiles, across*((h+growTile-1)/growTile))
	err := colour.EachStrip(ctx, workers, h, growTile, func(y0, y1 int) {
		tiles := g.tiles[y0/growTile*across:][:across]
		for i := range tiles {
			tiles[i] = growSpan{colour.BitsOfOne, 0}
		}
		for y := y0; y < y1; y++ {
			g.encode(tiles, g.keys[y*w:][:w], in.Row(src, y), in.Part(y), radius < 0)
		}
	})
	if err != nil {
		return err
	}
	return colour.EachStrip(ctx, workers, h, growTile, func(y0, y1 int) {
		s := g.strips.Take()
		s.grow(g, in, y0, y1, math.Abs(radius))
		for y := y0; y < y1; y++ {
			to := in.Row(dst, y)
			s.decode(to, y-y0, math.Abs(radius), radius < 0)
			keep(to, in.Row(src, y), in.Part(y))
		}
		g.strips.Give(s)
	})
}

// encode writes a row of alpha as keys, and notes their span.
func (g *grower) encode(tiles []growSpan, keys []int32, row, part []float32, turned bool) {
	for x, v := range row {
		keys[x] = int32(math.Float32bits(colour.Clamped(v)))
	}
	if turned {
		for x, k := range keys {
			keys[x] = colour.BitsOfOne - k
		}
	}
	outside(keys, part, colour.BitsOfOne)
	for i := range tiles {
		for _, k := range keys[growTile*i : min(growTile*(i+1), len(keys))] {
			tiles[i].least = min(tiles[i].least, k)
		}
	}
	outside(keys, part, 0)
	for i := range tiles {
		tiles[i].most = max(tiles[i].most, most(keys[growTile*i:min(growTile*(i+1), len(keys))]))
	}
}

// outside sets the keys of what takes no part.
func outside(keys []int32, part []float32, k int32) {
	for x, m := range part {
		if !(m > 0) {
			keys[x] = k
		}
	}
}

func most(keys []int32) (m int32) {
	for _, k := range keys {
		m = max(m, k)
	}
	return m
}

// growStrip dilates the rows [y0,y1) of a strip of tiles.
type growStrip struct {
	g            *grower
	w, h, y0, y1 int
	radius       int
	chord        []int   // by distance of rows: half a chord's length, less its middle
	low, high    []int32 // the strip dilated by the whole radius below, and above
	most, least  []int32 // of the source row by tiles; of the strip's rows by tiles
	ladder       [][]int32
}

func (s *growStrip) grow(g *grower, in domain, y0, y1 int, radius float64) {
	s.g, s.y0, s.y1 = g, y0, y1
	s.w, s.h = in.Size()
	whole := int(radius)
	s.low = s.dilate(s.low, whole)
	if float64(whole) < radius {
		s.high = s.dilate(s.high, whole+1)
	}
}

// decode writes row y of the strip: its alpha at the radius, which lies between
// those that were dilated by.
func (s *growStrip) decode(to []float32, y int, radius float64, turned bool) {
	sign, zero := int32(1), int32(0)
	if turned {
		sign, zero = -1, colour.BitsOfOne
	}
	low := s.low[y*s.w:][:len(to)]
	for x, k := range low {
		to[x] = math.Float32frombits(uint32(zero + sign*k))
	}
	share := float32(radius - math.Floor(radius))
	if share == 0 {
		return
	}
	for x, k := range s.high[y*s.w:][:len(to)] {
		if k != low[x] {
			to[x] += float32(share * (math.Float32frombits(uint32(zero+sign*k)) - to[x]))
		}
	}
}

// dilate returns the strip's keys dilated by a whole radius, in old's memory.
func (s *growStrip) dilate(old []int32, radius int) []int32 {
	out := colour.Resized(old, (s.y1-s.y0)*s.w)
	copy(out, s.g.keys[s.y0*s.w:s.y1*s.w])
	if radius == 0 {
		return out
	}
	s.setRadius(radius)
	tiles := (s.w + growTile - 1) / growTile
	for from := 0; from < tiles; from++ {
		to := from
		for to < tiles && s.changes(to) {
			to++
		}
		if to > from {
			s.dilateTiles(out, from, to)
			from = to
		}
	}
	return out
}

func (s *growStrip) setRadius(radius int) {
	s.radius, s.chord = radius, colour.Resized(s.chord, radius+1)
	for d := range s.chord {
		s.chord[d] = int(math.Sqrt(float64(radius*radius - d*d)))
	}
	tiles := (s.w + growTile - 1) / growTile
	s.most, s.least = colour.Resized(s.most, tiles), colour.Resized(s.least, tiles*(s.y1-s.y0))
	clear(s.least)
}

// changes reports whether anything in reach of a tile is larger than the least
// within it.
func (s *growStrip) changes(tile int) bool {
	tiles := (s.w + growTile - 1) / growTile
	least := s.g.tiles[s.y0/growTile*tiles+tile].least
	x0, x1 := s.inReach(tile)
	for ty := max(0, s.y0-s.radius) / growTile; ty <= (min(s.h, s.y1+s.radius)-1)/growTile; ty++ {
		for _, t := range s.g.tiles[ty*tiles:][x0:x1] {
			if t.most > least {
				return true
			}
		}
	}
	return false
}

// inReach returns the tiles [x0,x1) of a row that the radius reaches from one.
func (s *growStrip) inReach(tile int) (x0, x1 int) {
	x0 = max(0, growTile*tile-s.radius) / growTile
	return x0, (min(s.w, growTile*(tile+1)+s.radius) + growTile - 1) / growTile
}

// dilateTiles raises the tiles [from,to) of the strip to what the rows in
// reach hold.
func (s *growStrip) dilateTiles(out []int32, from, to int) {
	x0, x1 := from*growTile, min(to*growTile, s.w)
	for y := max(0, s.y0-s.radius); y < min(s.h, s.y1+s.radius); y++ {
		row := s.g.keys[y*s.w:][:s.w]
		lo, hi := max(0, x0-s.radius), min(s.w, x1+s.radius)
		for t := lo / growTile; t*growTile < hi; t++ {
			s.most[t] = most(row[max(lo, t*growTile):min(hi, (t+1)*growTile)])
		}
		if most(s.most[lo/growTile:(hi+growTile-1)/growTile]) == 0 {
			continue
		}
		s.climb(row, x0, x1)
		for t := from; t < to; t++ {
			a, b := s.inReach(t)
			if m := most(s.most[max(a, lo/growTile):min(b, (hi+growTile-1)/growTile)]); m > 0 {
				s.raise(out, t, x0, y, m)
			}
		}
	}
}

// climb prepares the ladder: rung j at x is the largest of the 2^j keys from
// column x0-radius+x on, up to column x1+radius.
func (s *growStrip) climb(row []int32, x0, x1 int) {
	n := x1 - x0 + 2*s.radius
	rungs := bits.Len(uint(2*s.radius + 1))
	s.ladder = colour.ResizedRows(s.ladder, rungs, n)
	first := s.ladder[0]
	lo, hi := max(0, x0-s.radius), min(s.w, x1+s.radius)
	at := lo - (x0 - s.radius)
	clear(first[:at])
	copy(first[at:], row[lo:hi])
	clear(first[at+hi-lo:])
	for j := 1; j < rungs; j++ {
		n -= 1 << (j - 1)
		below, rung := s.ladder[j-1], s.ladder[j][:n]
		larger(rung, below[:n], below[1<<(j-1):][:n])
	}
}

// raise raises a tile of the strip to the chords of row y, whose largest key
// in reach is m.
func (s *growStrip) raise(out []int32, tile, x0, y int, m int32) {
	tiles := (s.w + growTile - 1) / growTile
	a, b := tile*growTile, min((tile+1)*growTile, s.w)
	for to := max(s.y0, y-s.radius); to < min(s.y1, y+s.radius+1); to++ {
		least := &s.least[(to-s.y0)*tiles+tile]
		if m <= *least {
			continue
		}
		half := s.chord[max(to-y, y-to)]
		j := bits.Len(uint(2*half+1)) - 1
		left := s.ladder[j][a-x0+s.radius-half:]
		right := s.ladder[j][a-x0+s.radius+half+1-1<<j:]
		*least = raiseTo(out[(to-s.y0)*s.w+a:(to-s.y0)*s.w+b], left, right)
	}
}

// raiseToPlain raises every key to the larger of left and right, and returns
// the least that results.
func raiseToPlain(to, left, right []int32) int32 {
	left, right = left[:len(to)], right[:len(to)]
	least := int32(colour.BitsOfOne)
	for x, k := range to {
		k = max(k, left[x], right[x])
		to[x] = k
		least = min(least, k)
	}
	return least
}

// largerPlain writes the larger of a and b.
func largerPlain(to, a, b []int32) {
	a, b = a[:len(to)], b[:len(to)]
	for x := range to {
		to[x] = max(a[x], b[x])
	}
}
