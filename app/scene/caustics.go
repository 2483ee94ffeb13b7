package scene

import (
	"math"
)

// The net of light on the ground is worked out as nature does it: the waves of
// the surface bend a fine grid of rays, and where rays meet it is bright.
const (
	netSize  = 384 // cells along a side of the tile
	netTile  = 2.1 // metres along a side
	netRays  = 2   // rays to a cell and direction
	netWaves = 22
)

// A net is the light on one tile of the ground, 1 on average; it repeats
// without a seam.
type net struct{ cell []float32 }

// newNet returns the net of a scene t seconds after its beginning.
func newNet(seed uint32, t float64) *net {
	d := newDraw(int(seed), 0x4E4554)
	n := netSize * netRays
	dx, dy := make([]float64, n*n), make([]float64, n*n)
	for range netWaves {
		addWave(d, t, dx, dy, n)
	}
	cells := make([]float64, netSize*netSize)
	for y := range n {
		for x := range n {
			i := y*n + x
			splat(cells, float64(x)/netRays+dx[i], float64(y)/netRays+dy[i])
		}
	}
	return &net{smoothNet(cells)}
}

// addWave bends the rays of the grid, n to a side, by one wave that fits the
// tile. Deep-water waves: the square of the frequency is gravity times the
// wave number.
func addWave(d draw, t float64, dx, dy []float64, n int) {
	kx, ky := float64(d.IntN(19)-9), float64(d.IntN(19)-9)
	if kx == 0 && ky == 0 {
		kx = 3
	}
	length := math.Hypot(kx, ky)
	k := length * 2 * math.Pi / netTile
	phase := d.Float64()*2*math.Pi - math.Sqrt(9.81*k)*t*0.6
	slope := 7.0 * d.between(0.5, 1.3) / (1 + length*length/16)
	sx, cx := math.Sincos(2 * math.Pi * kx / float64(n))
	for y := range n {
		s, c := math.Sincos(phase + 2*math.Pi*ky*float64(y)/float64(n))
		for x := range n {
			i := y*n + x
			dx[i] += slope * s * kx / length
			dy[i] += slope * s * ky / length
			s, c = s*cx+c*sx, c*cx-s*sx
		}
	}
}

// splat spreads one ray over the four cells about (x, y).
func splat(cells []float64, x, y float64) {
	fx, fy := math.Floor(x), math.Floor(y)
	u, v := x-fx, y-fy
	x0, y0 := wrap(int(fx)), wrap(int(fy))
	x1, y1 := wrap(x0+1), wrap(y0+1)
	cells[y0*netSize+x0] += (1 - u) * (1 - v)
	cells[y0*netSize+x1] += u * (1 - v)
	cells[y1*netSize+x0] += (1 - u) * v
	cells[y1*netSize+x1] += u * v
}

func wrap(i int) int { return ((i % netSize) + netSize) % netSize }

// smoothNet blurs by 1-2-1 both ways, twice (the sun is no point), and scales
// to a mean of 1.
func smoothNet(cells []float64) []float32 {
	for range 2 {
		next := make([]float64, len(cells))
		for y := range netSize {
			up, down := wrap(y-1)*netSize, wrap(y+1)*netSize
			for x := range netSize {
				l, r, o := wrap(x-1), wrap(x+1), y*netSize
				next[o+x] = (cells[up+l] + cells[up+r] + cells[down+l] + cells[down+r] +
					2*(cells[up+x]+cells[down+x]+cells[o+l]+cells[o+r]) + 4*cells[o+x]) / 16
			}
		}
		cells = next
	}
	out := make([]float32, len(cells))
	for i, v := range cells {
		out[i] = float32(v / (netRays * netRays))
	}
	return out
}

// at returns the light at ground point (x, z), joined between the cells.
func (n *net) at(x, z float64) float64 {
	x, z = x*netSize/netTile, z*netSize/netTile
	fx, fz := math.Floor(x), math.Floor(z)
	u, v := x-fx, z-fz
	x0, z0 := wrap(int(fx)), wrap(int(fz))
	x1, z1 := wrap(x0+1), wrap(z0+1)
	at := func(x, z int) float64 { return float64(n.cell[z*netSize+x]) }
	return lerp(lerp(at(x0, z0), at(x1, z0), u), lerp(at(x0, z1), at(x1, z1), u), v)
}

// sunAt returns the strength of the sun on point p, 1 on average: two nets of
// different size and turn, so that the tile does not show.
func (f *moment) sunAt(p vec) float64 {
	// Down the sun's own direction to the ground the net is drawn on.
	x, z := p.X-f.sun.X/f.sun.Y*p.Y, p.Z-f.sun.Z/f.sun.Y*p.Y
	a := f.net.at(x, z)
	b := f.net.at(0.83*x*0.61-0.55*z*0.61+3.1, 0.55*x*0.61+0.83*z*0.61+0.7)
	return 1 + f.sparkle*(0.62*a+0.38*b-1)
}
