package sample

import (
	"math"
	"slices"

	"halocline/colour"
)

// A cloudOf holds the values of pixels in one channel each: HSL hue,
// saturation, lightness; LCh hue, chroma, lightness; Lab.
type cloudOf [9][]float64

const (
	hslHue = iota
	hslSaturation
	hslLightness
	lchHue
	lchChroma
	lchLightness
	labL
	labA
	labB
)

// cloudsOf collects every second pixel of every second row: those that are more than nine
// tenths skin, and those that are more than nine tenths sand, each seen as the
// function says.
func cloudsOf(f *Frame, as func(colour.RGB) colour.RGB) (skinPixels, sandPixels cloudOf) {
	w, h := f.Image.Size()
	for y := 0; y < h; y += 2 {
		for x := 0; x < w; x += 2 {
			switch i := y*w + x; {
			case f.Skin.Pix[i] > 0.9:
				skinPixels.add(as(f.Image.RGB(x, y)))
			case f.Sand.Pix[i] > 0.9:
				sandPixels.add(as(f.Image.RGB(x, y)))
			}
		}
	}
	return skinPixels, sandPixels
}

func (c *cloudOf) add(p colour.RGB) {
	hsl, _ := p.HSL()
	lab := p.Lab()
	lch, _ := lab.LCh()
	for i, v := range [9]float64{float64(hsl.H), hsl.S, hsl.L, float64(lch.H), lch.C, lch.L, lab.L, lab.A, lab.B} {
		c[i] = append(c[i], v)
	}
}

// bestChannel returns the area under the ROC curve of the one channel that
// separates a from b best, and that channel. Hue counts as the signed arc from the
// mean hue of a, and as its size.
func bestChannel(a, b *cloudOf) (best float64, which int) {
	for i := hslHue; i <= lchLightness; i++ {
		p, q := a[i], b[i]
		if i == hslHue || i == lchHue {
			mid := meanHue(a[i])
			p, q = arcs(a[i], mid), arcs(b[i], mid)
			if v := rocArea(sizes(p), sizes(q)); v > best {
				best, which = v, i
			}
		}
		if v := rocArea(p, q); v > best {
			best, which = v, i
		}
	}
	return best, which
}

func meanHue(hues []float64) colour.Degrees {
	var s, c float64
	for _, h := range hues {
		sin, cos := math.Sincos(h * math.Pi / 180)
		s, c = s+sin, c+cos
	}
	return colour.Degrees(math.Atan2(s, c) * 180 / math.Pi)
}

func arcs(hues []float64, from colour.Degrees) []float64 {
	out := make([]float64, len(hues))
	for i, h := range hues {
		out[i] = float64(from.ArcTo(colour.Degrees(h)))
	}
	return out
}

func sizes(v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = math.Abs(x)
	}
	return out
}

// rocArea is the area under the ROC curve: the chance that a value of a lies
// above one of b, ties counting half; of the two directions the better one.
// It equals the rank-sum statistic over the number of pairs (J. A. Hanley, B. J.
// McNeil, Radiology 143, 1982).
func rocArea(a, b []float64) float64 {
	a, b = slices.Sorted(slices.Values(a)), slices.Sorted(slices.Values(b))
	below, upTo := 0, 0
	sum := 0.0
	for _, v := range a {
		for below < len(b) && b[below] < v {
			below++
		}
		for upTo < len(b) && b[upTo] <= v {
			upTo++
		}
		sum += float64(below+upTo) / 2
	}
	area := sum / (float64(len(a)) * float64(len(b)))
	return max(area, 1-area)
}

// planeArea is the area under the ROC curve along the direction in Lab in
// which a and b are separated best for their common spread (R. A. Fisher, Annals of
// Eugenics 7, 1936).
func planeArea(a, b *cloudOf) float64 {
	ma, sa := moments(a)
	mb, sb := moments(b)
	var within [3][3]float64
	var apart [3]float64
	for i := range 3 {
		apart[i] = ma[i] - mb[i]
		for j := range 3 {
			within[i][j] = sa[i][j] + sb[i][j]
		}
	}
	w := solve(within, apart)
	along := func(c *cloudOf) []float64 {
		out := make([]float64, len(c[labL]))
		for i := range out {
			out[i] = w[0]*c[labL][i] + w[1]*c[labA][i] + w[2]*c[labB][i]
		}
		return out
	}
	return rocArea(along(a), along(b))
}

// moments returns mean and covariance of a cloud in Lab.
func moments(c *cloudOf) (mean [3]float64, cov [3][3]float64) {
	n := float64(len(c[labL]))
	for i := range 3 {
		for _, v := range c[labL+i] {
			mean[i] += v / n
		}
	}
	for i := range 3 {
		for j := range 3 {
			for k, v := range c[labL+i] {
				cov[i][j] += (v - mean[i]) * (c[labL+j][k] - mean[j]) / n
			}
		}
	}
	return mean, cov
}

// solve returns x of m x = y by Cramer's rule.
func solve(m [3][3]float64, y [3]float64) (x [3]float64) {
	det := func(a [3][3]float64) float64 {
		return a[0][0]*(a[1][1]*a[2][2]-a[1][2]*a[2][1]) -
			a[0][1]*(a[1][0]*a[2][2]-a[1][2]*a[2][0]) +
			a[0][2]*(a[1][0]*a[2][1]-a[1][1]*a[2][0])
	}
	for i := range x {
		a := m
		for j := range y {
			a[j][i] = y[j]
		}
		x[i] = det(a) / det(m)
	}
	return x
}

// baseOf returns how the program's base takes the water out of a colour of f:
// light = object t + veil (1-t) for each channel, t = exp(-beta z), then gains
// that make the slate grey. The attenuation is that of the scene.
func baseOf(s *scene, f *Frame) func(colour.RGB) colour.RGB {
	var t, veil, gain tint
	object := func(c int, v float64) float64 { return (v - veil[c]*(1-t[c])) / t[c] }
	for c, p := range [3]colour.Plane{f.Image.R, f.Image.G, f.Image.B} {
		t[c] = s.lights.lit[slate].at(arm)[c] / s.lights.lit[slate][0][c]
		veil[c] = meanIn(p, f.OpenWater)
		gain[c] = 0.22 / object(c, meanIn(p, f.Slate))
	}
	channel := func(c int, v float64) float64 {
		return clamp01(colour.Encoded(gain[c] * object(c, colour.Linear(v))))
	}
	return func(p colour.RGB) colour.RGB {
		return colour.RGB{R: channel(0, p.R), G: channel(1, p.G), B: channel(2, p.B)}
	}
}

// asItComes leaves a colour alone.
func asItComes(p colour.RGB) colour.RGB { return p }

// meanIn returns the mean light of a plane in a disc.
func meanIn(p colour.Plane, s Spot) float64 {
	sum, n := 0.0, 0.0
	for y := int(s.Y - s.Radius); y <= int(s.Y+s.Radius); y++ {
		for x := int(s.X - s.Radius); x <= int(s.X+s.Radius); x++ {
			if math.Hypot(float64(x)+0.5-s.X, float64(y)+0.5-s.Y) <= s.Radius {
				sum += colour.Linear(float64(p.At(x, y)))
				n++
			}
		}
	}
	return sum / n
}
