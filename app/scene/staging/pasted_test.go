package staging

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/colour"
)

// Clips that are composed of open pictures, with known truth: a person is cut out of one along
// its labels and moved over another. The pictures are those of real_test.go.

// The size and length of a pasted clip.
const (
	pastedWidth  = 640
	pastedHeight = 360
	pastedFrames = 49
)

// A cutOut is part of a picture that can be laid over others.
type cutOut struct {
	picture *colour.Image
	alpha   colour.Plane
	x, y    float64 // the middle of its box, in pixels of the picture
	height  float64 // of that box
}

// labelsWithin is how many pixels inside its label a person is cut out: labels are drawn
// roughly, and what lies behind the person must not come along.
const labelsWithin = 3

// isPerson tells the blue of a class mask, which stands for people.
func isPerson(labels *colour.Image, i int) bool {
	return labels.B.Pix[i] > 0.5 && labels.R.Pix[i] < 0.5 && labels.G.Pix[i] < 0.5
}

func readLabelled(t *testing.T, folder, name string) (picture, labels *colour.Image) {
	t.Helper()
	picture, _, err := clip.Read(t.Context(), filepath.Join(folder, name+".jpg"))
	require.NoError(t, err)
	labels, _, err = clip.Read(t.Context(), filepath.Join(folder, name+".mask.png"))
	require.NoError(t, err)
	require.Equal(t, picture.R.W, labels.R.W, name)
	require.Equal(t, picture.R.H, labels.R.H, name)
	return picture, labels
}

// cutOutOf cuts out the person at a place of a picture, in shares of its width and height.
func cutOutOf(t *testing.T, folder, name string, x, y float64) *cutOut {
	t.Helper()
	picture, labels := readLabelled(t, folder, name)
	w, h := picture.Size()
	is := make([]bool, w*h)
	for i := range is {
		is[i] = isPerson(labels, i)
	}
	at := int(y*float64(h))*w + int(x*float64(w))
	for _, part := range partsOf(within(is, w, h, labelsWithin), w, h) {
		if part[at] {
			c := &cutOut{picture: picture, alpha: softened(part, w, h)}
			c.measure()
			return c
		}
	}
	require.Fail(t, "nobody there", "%s at %v, %v", name, x, y)
	return nil
}

// within are the pixels that lie so many pixels inside a set. What lies beyond the picture
// counts as inside.
func within(is []bool, w, h, depth int) []bool {
	out := make([]bool, len(is))
	for y := range h {
		for x := range w {
			out[y*w+x] = true
			for j := max(y-depth, 0); j <= min(y+depth, h-1); j++ {
				for i := max(x-depth, 0); i <= min(x+depth, w-1); i++ {
					out[y*w+x] = out[y*w+x] && is[j*w+i]
				}
			}
		}
	}
	return out
}

// softened is a set's mean over 3 x 3 pixels.
func softened(is []bool, w, h int) colour.Plane {
	out := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			for j := y - 1; j <= y+1; j++ {
				for i := x - 1; i <= x+1; i++ {
					if is[min(max(j, 0), h-1)*w+min(max(i, 0), w-1)] {
						out.Pix[y*w+x] += 1. / 9
					}
				}
			}
		}
	}
	return out
}

func (c *cutOut) measure() {
	left, top, right, bottom := c.alpha.W, c.alpha.H, 0, 0
	for i, v := range c.alpha.Pix {
		if x, y := i%c.alpha.W, i/c.alpha.W; v > 0.5 {
			left, top, right, bottom = min(left, x), min(top, y), max(right, x+1), max(bottom, y+1)
		}
	}
	c.x, c.y, c.height = float64(left+right)/2, float64(top+bottom)/2, float64(bottom-top)
}

// deserted is a picture without its people: each row goes on into them from both sides, as in
// a mirror.
func deserted(picture, labels *colour.Image) *colour.Image {
	w, h := picture.Size()
	out := colour.NewImage(w, h)
	copy(out.R.Pix, picture.R.Pix)
	copy(out.G.Pix, picture.G.Pix)
	copy(out.B.Pix, picture.B.Pix)
	for y := range h {
		for from := 0; from < w; from++ {
			if !isPerson(labels, y*w+from) {
				continue
			}
			to := from
			for to < w && isPerson(labels, y*w+to) {
				to++
			}
			for x := from; x < to; x++ {
				source := 2*from - 1 - x
				if x-from > to-1-x && to < w || source < 0 {
					source = min(2*to-1-x, w-1)
				}
				for _, p := range []colour.Plane{out.R, out.G, out.B} {
					p.Pix[y*w+x] = p.Pix[y*w+source]
				}
			}
			from = to
		}
	}
	return out
}

// A layer of a pasted clip is a cut-out and its way through it. Lengths are shares of the
// clip's height, and ways are from the first frame to the last.
type pastedLayer struct {
	what         *cutOut
	height       float64 // of the cut-out at the beginning
	x, y         float64 // its middle there
	across, down float64 // by how much it goes
	turn         float64 // radians
	grow         float64 // by what factor; 0 as 1
	bend         float64 // how far what lies half its height from its middle swings aside
}

// swings is how often a bending layer swings to and fro.
const swings = 1.5

// at is where a pixel of the clip lies in the layer's picture, at a time from 0 to 1.
func (l *pastedLayer) at(x, y, time float64) (float64, float64) {
	eased := (1 - math.Cos(math.Pi*time)) / 2
	scale := l.height / l.what.height * pastedHeight
	if l.grow != 0 {
		scale *= math.Pow(l.grow, eased)
	}
	x -= (l.x + l.across*eased) * pastedHeight
	y -= (l.y + l.down*eased) * pastedHeight
	sin, cos := math.Sincos(-l.turn * eased)
	x, y = (cos*x-sin*y)/scale, (sin*x+cos*y)/scale
	away := y / (l.what.height / 2)
	x -= l.bend * l.what.height / l.height * away * math.Abs(away) * math.Sin(2*math.Pi*swings*time)
	return l.what.x + x, l.what.y + y
}

// A pastedClip is how a clip is composed.
type pastedClip struct {
	name    string
	over    *colour.Image
	drift   float64 // of what lies behind, a share of its width
	subject pastedLayer
	before  *pastedLayer // lies over the subject; nil for nothing
	blur    bool         // the shutter is open for half of the time
	grain   float64      // standard deviation, of values from 0 to 1
}

// strip composes the clip; its truth is the subject's.
func (p *pastedClip) strip() *strip {
	s, chance := new(strip), rand.New(rand.NewPCG(1, 2))
	for n := range pastedFrames {
		m, truth := p.frame(n)
		for _, c := range []colour.Plane{m.R, m.G, m.B} {
			for i, v := range c.Pix {
				grainy := float64(v) + p.grain*chance.NormFloat64()
				c.Pix[i] = float32(math.Round(255*min(max(grainy, 0), 1)) / 255)
			}
		}
		s.add(m, truth)
	}
	return s
}

// Samples of a pixel each way, and of the time for which a shutter is open.
const (
	pastedSamples  = 2
	pastedInstants = 5
)

// frame is the n-th frame, counted from 0, without grain.
func (p *pastedClip) frame(n int) (*colour.Image, colour.Plane) {
	m, truth := colour.NewImage(pastedWidth, pastedHeight), colour.NewPlane(pastedWidth, pastedHeight)
	instants := 1
	if p.blur {
		instants = pastedInstants
	}
	share := 1 / float64(instants*pastedSamples*pastedSamples)
	for y := range pastedHeight {
		for x := range pastedWidth {
			var sum [4]float64
			for k := range instants * pastedSamples * pastedSamples {
				open := 0.5 * (float64(k/(pastedSamples*pastedSamples)) + 0.5) / float64(instants)
				px := float64(x) + (float64(k%pastedSamples)+0.5)/pastedSamples
				py := float64(y) + (float64(k/pastedSamples%pastedSamples)+0.5)/pastedSamples
				one := p.sample(px, py, (float64(n)+open-0.25)/(pastedFrames-1))
				for c, v := range one {
					sum[c] += v * share
				}
			}
			i := y*pastedWidth + x
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = float32(sum[0]), float32(sum[1]), float32(sum[2])
			truth.Pix[i] = float32(sum[3])
		}
	}
	return m, truth
}

// sample is the colour at a place and time, and how much of it is the subject.
func (p *pastedClip) sample(x, y, time float64) (out [4]float64) {
	w, h := p.over.Size()
	bx := (0.05+0.9*x/pastedWidth)*float64(w) + p.drift*float64(w)*(time-0.5)
	by := (0.05 + 0.9*y/pastedHeight) * float64(h)
	for c, plane := range []colour.Plane{p.over.R, p.over.G, p.over.B} {
		out[c] = readBetween(plane, bx, by)
	}
	lay := func(l *pastedLayer, covered float64) {
		lx, ly := l.at(x, y, time)
		if lx < 0 || ly < 0 || lx >= float64(l.what.alpha.W) || ly >= float64(l.what.alpha.H) {
			return
		}
		a := readBetween(l.what.alpha, lx, ly)
		if a == 0 {
			return
		}
		for c, plane := range []colour.Plane{l.what.picture.R, l.what.picture.G, l.what.picture.B} {
			out[c] += a * (readBetween(plane, lx, ly) - out[c])
		}
		out[3] += a * (covered - out[3])
	}
	lay(&p.subject, 1)
	if p.before != nil {
		lay(p.before, 0)
	}
	return out
}

// readBetween reads a plane between the centres of its pixels; beyond it its border counts.
func readBetween(p colour.Plane, x, y float64) float64 {
	x, y = min(max(x-0.5, 0), float64(p.W-1)), min(max(y-0.5, 0), float64(p.H-1))
	i, j := int(x), int(y)
	i1, j1 := min(i+1, p.W-1), min(j+1, p.H-1)
	fx, fy := x-float64(i), y-float64(j)
	upper := (1-fx)*float64(p.At(i, j)) + fx*float64(p.At(i1, j))
	lower := (1-fx)*float64(p.At(i, j1)) + fx*float64(p.At(i1, j1))
	return (1-fy)*upper + fy*lower
}
