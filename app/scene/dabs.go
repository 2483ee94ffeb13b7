package scene

import (
	"fmt"
	"math"

	"halocline/colour"
)

// A Class is one of the things a true matte tells apart.
type Class int

// The classes of a pixel. Rest is what is neither skin nor sand nor water:
// leaves, clothes, slate, tape.
const (
	Skin Class = iota
	Sand
	Water
	Rest
	classes
)

// A Disc is a dab: its centre and radius in pixels.
type Disc struct{ X, Y, Radius float64 }

// Dabs are the samples a user would take for one class: on it to keep, on the
// others to drop.
type Dabs struct {
	Keep []Disc // three
	// Drop has three on each other class. The first of each come first, so
	// Drop[:3] is one on each.
	Drop []Disc
}

const (
	dabsEach  = 3
	dabRadius = 12 // pixels
	dabTruth  = 0.9
)

// Dabs returns dabs for a class, drawn by chance from seed and never by how well
// they do: each lies where its class's truth is above 0.9 throughout. The
// radius is 12 pixels. A class too small for three such discs apart gets
// overlapping ones, and one too thin for any gets the largest radius that fits.
// It fails if a class has no pixel at all.
func (f *Frame) Dabs(class Class, seed int) (Dabs, error) {
	return f.DabsWithin(class, seed, nil)
}

// DabsWithin returns dabs as Dabs does, those to drop where a mask is above one
// half: what it keeps out anyway needs none. A class that the mask leaves no
// room for has none; a nil mask leaves everything.
func (f *Frame) DabsWithin(class Class, seed int, mask *colour.Plane) (Dabs, error) {
	if class < 0 || class >= classes {
		return Dabs{}, fmt.Errorf("scene: class %d, want %d to %d", class, Skin, Rest)
	}
	var on [classes][]Disc
	for c := range classes {
		d := newDraw(seed, 0x44414253+int(c))
		truth := f.truth(c)
		if c != class && mask != nil {
			truth = within(truth, *mask)
		}
		on[c] = discsIn(truth, d)
		if len(on[c]) == 0 && (c == class || c != Rest && mask == nil) {
			return Dabs{}, fmt.Errorf("scene: no pixel of class %d above %v, want room for a dab", c, dabTruth)
		}
	}
	out := Dabs{Keep: on[class]}
	for i := range dabsEach {
		for c := range classes {
			if c != class && i < len(on[c]) {
				out.Drop = append(out.Drop, on[c][i])
			}
		}
	}
	return out, nil
}

// within returns p where a mask is above one half, 0 elsewhere.
func within(p, mask colour.Plane) colour.Plane {
	out := colour.NewPlane(p.W, p.H)
	for i, m := range mask.Pix {
		if m > 0.5 {
			out.Pix[i] = p.Pix[i]
		}
	}
	return out
}

// truth returns the true matte of a class.
func (f *Frame) truth(c Class) colour.Plane {
	switch c {
	case Skin:
		return f.Skin
	case Sand:
		return f.Sand
	case Water:
		return f.Water
	}
	rest := colour.NewPlane(f.Skin.W, f.Skin.H)
	for i := range rest.Pix {
		rest.Pix[i] = 1 - f.Skin.Pix[i] - f.Sand.Pix[i] - f.Water.Pix[i]
	}
	return rest
}

// discsIn draws discs that lie wholly where truth is above dabTruth.
func discsIn(truth colour.Plane, d draw) []Disc {
	for r := dabRadius; r > 0; r-- {
		room := roomFor(truth, r)
		if len(room) == 0 {
			continue
		}
		discs := make([]Disc, dabsEach)
		for i := range discs {
			discs[i] = pick(room, discs[:i], truth.W, float64(r), d)
		}
		return discs
	}
	return nil
}

// pick draws a place from room; one that overlaps those taken only if no other
// turns up.
func pick(room []int, taken []Disc, w int, r float64, d draw) (disc Disc) {
	for range 400 {
		i := room[d.IntN(len(room))]
		disc = Disc{X: float64(i%w) + 0.5, Y: float64(i/w) + 0.5, Radius: r}
		if apart(disc, taken) {
			break
		}
	}
	return disc
}

func apart(a Disc, taken []Disc) bool {
	for _, b := range taken {
		if math.Hypot(a.X-b.X, a.Y-b.Y) < a.Radius+b.Radius {
			return false
		}
	}
	return true
}

// roomFor returns the pixels about which a disc of r pixels has nothing but
// truth: the erosion of what is above dabTruth.
func roomFor(truth colour.Plane, r int) []int {
	// run is, for each pixel, how many good ones lie in a row from it, either way.
	w, h := truth.W, truth.H
	run := make([]int, w*h)
	for y := range h {
		runs(run[y*w:(y+1)*w], truth.Row(y))
	}
	half := make([]int, r+1)
	for dy := range half {
		half[dy] = int(math.Sqrt(float64(r*r - dy*dy)))
	}
	var room []int
	for y := r; y < h-r; y++ {
	pixel:
		for x := r; x < w-r; x++ {
			for dy, wide := range half {
				if run[(y+dy)*w+x] <= wide || run[(y-dy)*w+x] <= wide {
					continue pixel
				}
			}
			room = append(room, y*w+x)
		}
	}
	return room
}

// runs sets each value of run to the distance, in pixels, to the nearest pixel
// of the row that is not above dabTruth, or to the row's end.
func runs(run []int, row []float32) {
	n := 0
	for x, v := range row {
		if n++; v <= dabTruth {
			n = 0
		}
		run[x] = n
	}
	n = 0
	for x := len(row) - 1; x >= 0; x-- {
		if n++; row[x] <= dabTruth {
			n = 0
		}
		run[x] = min(run[x], n)
	}
}
