package sample

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// A blade is one leaf of seagrass, rooted in the sand.
type blade struct {
	root       vec
	lean       vec     // which way it bends, level
	length     float64 // m
	half       float64 // half width, m
	bend, twin float64 // how far it bends; a number of its own
	old        float64 // share of brown
}

// newMeadow plants the leaves in clumps: dense in patches to the sides and
// behind, none where the volunteer works. Far leaves come first.
func newMeadow(d draw, s *scene) []blade {
	const cell = 0.24
	var all []blade
	edge := d.between(-0.06, 0.1)
	seed := d.Uint32()
	for z := 1.15; z < 12; z += cell {
		wide := 0.72*z + 0.6
		for x := -wide; x < wide; x += cell {
			at := vec{x + cell*(d.Float64()-0.5), 0, z + cell*(d.Float64()-0.5)}
			grows := cloud(seed, 0.55*at.X, 0.55*at.Z, 3) - edge - s.kept(at)
			if roll := d.Float64(); grows > 0 && roll < min(1, 0.3+3.5*grows) {
				all = append(all, newClump(d, at, min(1, 0.4+2*grows))...)
			}
		}
	}
	slices.SortStableFunc(all, func(a, b blade) int { return cmp.Compare(b.root.Z, a.root.Z) })
	return all
}

// kept returns how strongly a place is kept free of leaves: before the camera,
// under the volunteer, around slate and tape.
func (s *scene) kept(p vec) float64 {
	if p.Z < 1.75 { // close to the lens only the corners may have leaves
		return 1.2 - 1.5*smoothstep(0.42, 0.62, math.Abs(p.X)/p.Z)
	}
	lane := smoothstep(1.7, 1.25, math.Abs(p.X)) * smoothstep(s.pose.away+1.5, s.pose.away+0.7, p.Z)
	side := 0.3 * smoothstep(0.38, 0.52, math.Abs(p.X)/p.Z)
	return 1.2*lane - side + 0.2*smoothstep(4, 2.5, p.Z)
}

func newClump(d draw, at vec, thick float64) []blade {
	n := int(lerp(5, 15, thick))
	tall := d.between(0.22, 0.42)
	blades := make([]blade, n)
	for i := range blades {
		turn, out := d.between(0, 2*math.Pi), 0.1*math.Sqrt(d.Float64())
		sin, cos := math.Sincos(turn)
		lean := vec{cos, 0, sin}.along(vec{0.7, 0, 0.15}, 1)
		blades[i] = blade{
			root:   at.along(vec{cos, 0, sin}, out),
			lean:   lean,
			length: tall * d.between(0.6, 1.25),
			half:   d.between(0.0028, 0.0052),
			bend:   d.between(0.15, 0.75),
			twin:   d.Float64(),
			old:    max(0, d.between(-0.5, 0.8)),
		}
	}
	return blades
}

// bladePieces is the number of straight pieces a leaf is drawn with.
const bladePieces = 9

// A stroke is a leaf as the camera sees it: points, half widths and light.
type stroke struct {
	x, y, half [bladePieces + 1]float64
	light      [bladePieces + 1]tint
	low, high  float64 // rows it covers
	faint      float64 // coverage of a leaf thinner than a pixel
	seen       bool
	from, to   float64 // columns
	away       float64
}

// strokeOf bends the leaf in the swell of this moment and looks at it.
func (f *moment) strokeOf(b *blade) stroke {
	swell := math.Sin(1.1*f.t+1.3*b.root.X+0.5*b.root.Z) + 0.35*math.Sin(2.3*f.t+6.28*b.twin)
	bend := b.bend + 0.13*swell
	mid := b.root.add(vec{0, 0.62 * b.length, 0}).along(b.lean, 0.1*bend*b.length)
	tip := b.root.add(vec{0, b.length * (1 - 0.33*bend*bend), 0}).along(b.lean, 0.62*bend*b.length)
	s := stroke{low: math.Inf(1), high: math.Inf(-1), from: math.Inf(1), to: math.Inf(-1)}
	s.away = b.root.sub(f.cam.at).length()
	for i := range s.x {
		u := float64(i) / bladePieces
		p := b.root.mix(mid, u).mix(mid.mix(tip, u), u)
		x, y, depth := f.cam.project(p)
		if depth < 0.3 {
			return stroke{}
		}
		s.x[i], s.y[i] = x, y
		s.half[i] = b.half * (1 - 0.72*u*u*u) * f.cam.focal / depth
		s.light[i] = f.bladeLight(b, p, u, s.away)
		s.low, s.high = min(s.low, y), max(s.high, y)
		s.from, s.to = min(s.from, x), max(s.to, x)
	}
	s.faint = min(1, 2*s.half[0])
	for i := range s.half {
		s.half[i] = max(0.5, s.half[i])
	}
	pad := s.half[0] + 1
	s.low, s.high, s.from, s.to = s.low-pad, s.high+pad, s.from-pad, s.to+pad
	s.seen = s.high > 0 && s.low < float64(f.h) && s.to > 0 && s.from < float64(f.w)
	return s
}

// bladeLight returns the light of a leaf at height u of its length: dark among
// the roots, bright at the bend, with the sun's net on it.
func (f *moment) bladeLight(b *blade, p vec, u, away float64) tint {
	ray := p.sub(f.cam.at).unit()
	turn := 0.75 + 0.4*math.Sin(3*u+7*b.twin)
	deep := 0.22 + 0.78*smoothstep(0, 0.75, u)
	direct := f.sunlight * lerp(1, f.sunAt(p), 0.8)
	brown := clamp01(b.old + 0.7*noise(uint32(b.twin*1e6), 9*u, 0) - 0.2)
	green := f.lights.under(leaf, away, direct, f.daylight).mix(f.lights.under(oldLeaf, away, direct, f.daylight), brown)
	return green.mul(deep * turn * (0.85 + 0.3*b.twin)).add(f.haze(away, ray))
}

// paint draws the stroke onto rows [y0,y1) of l.
func (s *stroke) paint(l *layer, y0, y1 int) {
	if !s.seen || s.high < float64(y0) || s.low > float64(y1) {
		return
	}
	x0, x1 := max(0, int(s.from)), min(l.w, int(s.to)+1)
	for y := max(y0, int(s.low)); y < min(y1, int(s.high)+1); y++ {
		row := float64(y) + 0.5
		first, last, pieces := s.span(row, x0, x1)
		for x := first; x < last; x++ {
			cover, light := s.coverAt(float64(x)+0.5, row, pieces)
			if cover > 0 {
				l.put(x, y, pure(light, Rest).over(l.get(x, y), cover))
			}
		}
	}
}

// span returns the columns the stroke may cover in a row, and which of its
// straight pieces do: bit i stands for piece i.
func (s *stroke) span(row float64, x0, x1 int) (first, last int, pieces uint) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range bladePieces {
		pad := s.half[i] + 1
		if max(s.y[i], s.y[i+1])+pad < row || min(s.y[i], s.y[i+1])-pad > row {
			continue
		}
		pieces |= 1 << i
		lo = min(lo, min(s.x[i], s.x[i+1])-pad)
		hi = max(hi, max(s.x[i], s.x[i+1])+pad)
	}
	if lo > hi {
		return 0, 0, 0
	}
	return max(x0, int(lo)), min(x1, int(hi)+1), pieces
}

// coverAt returns how much of the pixel about (x, y) the leaf covers, and its
// light there, of the pieces that may.
func (s *stroke) coverAt(x, y float64, pieces uint) (cover float64, light tint) {
	best := math.Inf(-1)
	for ; pieces > 0; pieces &= pieces - 1 {
		i := bits.TrailingZeros(pieces)
		dx, dy := s.x[i+1]-s.x[i], s.y[i+1]-s.y[i]
		u := clamp01(((x-s.x[i])*dx + (y-s.y[i])*dy) / max(dx*dx+dy*dy, 1e-9))
		ex, ey := x-s.x[i]-u*dx, y-s.y[i]-u*dy
		half := lerp(s.half[i], s.half[i+1], u)
		if in := half - math.Sqrt(ex*ex+ey*ey); in > best {
			best = in
			light = s.light[i].mix(s.light[i+1], u)
		}
	}
	return s.faint * clamp01(0.5+best), light
}

// paintAll draws strokes, far ones first, onto rows [y0,y1) of l.
func paintAll(l *layer, strokes []stroke, y0, y1 int) {
	for i := range strokes {
		strokes[i].paint(l, y0, y1)
	}
}

// closeUp is the distance under which leaves lie well out of focus.
const closeUp = 1.75

// split divides the leaves, which come far ones first, into those behind the
// volunteer, those beside or before, and those close to the lens.
func (f *moment) split(strokes []stroke) (behind, beside, close []stroke) {
	first := func(z float64) int {
		i, _ := slices.BinarySearchFunc(f.meadow, z, func(b blade, z float64) int { return cmp.Compare(z, b.root.Z) })
		return i
	}
	a := first(f.pose.away)
	b := first(closeUp)
	return strokes[:a], strokes[a:b], strokes[b:]
}
