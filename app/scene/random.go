package scene

import "math"

// hash mixes four numbers into 32 well-spread bits. Everything that looks
// random in a picture comes from it or from a generator seeded with the
// scene's number, so any frame can be computed on its own.
func hash(a, b, c, d uint32) uint32 {
	h := a*0x9E3779B1 ^ b*0x85EBCA77 ^ c*0xC2B2AE3D ^ d*0x27D4EB2F
	h ^= h >> 15
	h *= 0x2C1B3C6D
	h ^= h >> 12
	h *= 0x297A2D39
	h ^= h >> 15
	return h
}

// unit turns bits into a number in [0,1).
func unit(h uint32) float64 { return float64(h>>8) / (1 << 24) }

// bell returns a number of mean 0 and variance 1, nearly normal: the sum of
// four even ones, which never leaves ±3.5.
func bell(h uint32) float64 {
	g := h*0x2545F491 + 0x9E3779B9
	g ^= g >> 16
	sum := float64(h&0xFFFF) + float64(h>>16) + float64(g&0xFFFF) + float64(g>>16)
	return (sum/65535 - 2) * math.Sqrt(3)
}

// noise is smooth noise over the plane in [-1,1], one bump a unit: values on a
// lattice, joined by a curve without kinks.
func noise(seed uint32, x, y float64) float64 {
	fx, fy := math.Floor(x), math.Floor(y)
	ix, iy := uint32(int32(fx)), uint32(int32(fy))
	u, v := ease(x-fx), ease(y-fy)
	a, b := unit(hash(seed, ix, iy, 1)), unit(hash(seed, ix+1, iy, 1))
	c, d := unit(hash(seed, ix, iy+1, 1)), unit(hash(seed, ix+1, iy+1, 1))
	top, bottom := a+u*(b-a), c+u*(d-c)
	return 2*(top+v*(bottom-top)) - 1
}

// cloud sums octaves of noise, each twice as fine and half as strong, in about
// [-1,1].
func cloud(seed uint32, x, y float64, octaves int) float64 {
	sum, weight, total := 0.0, 1.0, 0.0
	for i := range octaves {
		sum += weight * noise(seed+uint32(i)*101, x, y)
		total += weight
		weight /= 2
		// Turned and scaled, so that the lattices of two octaves never meet.
		x, y = 1.63*x+1.18*y+5.3, -1.18*x+1.63*y+1.7
	}
	return sum / total
}

// ease is smoothstep, 3u²-2u³ for u in [0,1].
func ease(u float64) float64 { return u * u * (3 - 2*u) }

// smoothstep rises from 0 at lo to 1 at hi as 3u²-2u³.
func smoothstep(lo, hi, x float64) float64 { return ease(clamp01((x - lo) / (hi - lo))) }

func clamp01(x float64) float64 { return max(0, min(1, x)) }

func lerp(a, b, u float64) float64 { return a + u*(b-a) }
