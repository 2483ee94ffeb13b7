package staging

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// Faults are put into a good shot on purpose: light that drifts, masks that were set wrong, a
// pick too wide, light that dances, a subject that leaves. Whether the check finds them is
// counted in foundfaults_test.go.

// A fault is one of them: the study and the footage with it, and the frames that it is on.
type fault struct {
	name   string
	doc    *study.Study
	source render.Source
	span   [2]int // first and last frame
}

// faultFrames is how long a fault lasts that is on several frames.
const faultFrames = 12

// A faultMaker puts faults into the shot of a seed. Where they begin, and which mask and which
// direction they are about, is drawn.
type faultMaker struct {
	take   *Take
	source render.Source
	rnd    *rand.Rand
}

func (m *faultMaker) all() []fault {
	return []fault{
		m.drift(),
		m.maskOff("mask off by 20 px, 1 frame", 20, 1),
		m.maskOff("mask off by 20 px, 12 frames", 20, faultFrames),
		m.maskOff("mask off by 40 px, 1 frame", 40, 1),
		m.maskOff("mask off by 40 px, 12 frames", 40, faultFrames),
		m.tooWide(),
		m.limbCut(),
		m.caustics(),
		m.leaves(),
	}
}

// begin draws where a fault of so many frames begins: clear of the ends and their dabs.
func (m *faultMaker) begin(count int) int {
	return 4 + m.rnd.IntN(len(m.take.Frames)-count-6)
}

// A lit source shows frames under another light: f gives the factors of a pixel's values.
type lit struct {
	render.Source
	f func(frame, x, y int) [3]float64
}

func (l lit) Frame(ctx context.Context, n int) (*colour.Image, error) {
	from, err := l.Source.Frame(ctx, n)
	if err != nil {
		return nil, err
	}
	w, h := from.Size()
	out := colour.NewImage(w, h)
	for y := range h {
		for x := range w {
			by := l.f(n, x, y)
			for c, p := range []colour.Plane{from.R, from.G, from.B} {
				to := []colour.Plane{out.R, out.G, out.B}[c]
				to.Row(y)[x] = float32(math.Round(min(1, float64(p.Row(y)[x])*by[c])*255) / 255)
			}
		}
	}
	return out, nil
}

// drift has the light turn after the first third of a shot that was dabbed before that alone.
func (m *faultMaker) drift() fault {
	doc := m.take.Study.Clone()
	last := len(m.take.Frames)
	from := last / 3
	a := &doc.Mattes[0]
	a.Dabs = slices.DeleteFunc(slices.Clone(a.Dabs), func(d study.Dab) bool { return d.Frame > from })
	return fault{"light drifts", doc, lit{m.source, func(n, _, _ int) [3]float64 {
		t := max(0, float64(n-from)/float64(last-from))
		return [3]float64{1 - 0.07*t, 1 - 0.02*t, 1 + 0.02*t}
	}}, [2]int{from + 1, last}}
}

// caustics has a net of light dance over a few frames.
func (m *faultMaker) caustics() fault {
	const count = 6
	from := m.begin(count)
	phases := map[int][2]float64{}
	for n := from; n < from+count; n++ {
		phases[n] = [2]float64{2 * math.Pi * m.rnd.Float64(), 2 * math.Pi * m.rnd.Float64()}
	}
	wave := 2 * math.Pi / (float64(m.take.Frame.Skin.W) / 12)
	return fault{"caustic flicker", m.take.Study, lit{m.source, func(n, x, y int) [3]float64 {
		p, on := phases[n]
		if !on {
			return [3]float64{1, 1, 1}
		}
		net := 1 + 0.45*math.Sin(wave*float64(x)+p[0])*math.Sin(wave*float64(y)+p[1])
		return [3]float64{net, net, net}
	}}, [2]int{from, from + count - 1}}
}

// An empty source shows some frames without the volunteer: with what lies around in the same
// rows instead.
type empty struct {
	render.Source
	scene    footage
	from, to int
}

func (e empty) Frame(ctx context.Context, n int) (*colour.Image, error) {
	frame, err := e.Source.Frame(ctx, n)
	if err != nil || n < e.from || n > e.to {
		return frame, err
	}
	drawn, err := e.scene.Frame(ctx, n, 1)
	if err != nil {
		return nil, err
	}
	out := colour.NewImage(frame.Size())
	for c, p := range []colour.Plane{frame.R, frame.G, frame.B} {
		copy([]colour.Plane{out.R, out.G, out.B}[c].Pix, p.Pix)
	}
	for y := range drawn.Swimmer.H {
		var free []int
		for x, v := range drawn.Swimmer.Row(y) {
			if v == 0 {
				free = append(free, x)
			}
		}
		k := 0
		for x, v := range drawn.Swimmer.Row(y) {
			if v == 0 || len(free) == 0 {
				continue
			}
			at := free[k%len(free)]
			k++
			for _, p := range []colour.Plane{out.R, out.G, out.B} {
				p.Row(y)[x] = p.Row(y)[at]
			}
		}
	}
	return out, nil
}

func (m *faultMaker) leaves() fault {
	const count = 6
	from := m.begin(count)
	return fault{"subject leaves", m.take.Study, empty{m.source, m.take.footage, from, from + count - 1}, [2]int{from, from + count - 1}}
}

// tooWide has the pick too wide on some frames.
func (m *faultMaker) tooWide() fault {
	doc := m.take.Study.Clone()
	from := m.begin(faultFrames)
	pick := &doc.Mattes[0].Pick
	for c := range selection.Channels {
		l := &pick.Limits[c]
		if l.Off {
			continue
		}
		good := l.At(from)
		wide := good
		by := 0.35 * (good.To - good.From + good.Before + good.After)
		wide.From, wide.To = wide.From-by, wide.To+by
		l.SetKey(1, good, mask.Step)
		l.SetKey(from, wide, mask.Step)
		l.SetKey(from+faultFrames, good, mask.Step)
	}
	return fault{"pick too wide", doc, m.source, [2]int{from, from + faultFrames - 1}}
}

// maskOff moves one mask on so many frames, to the side on which most is lost: others may take
// nothing. It bites in as one does that is off by px in the scene's own study, where masks have
// less room; both in pixels of the scene's full size.
func (m *faultMaker) maskOff(name string, px float64, count int) fault {
	px = (px + keyClear - skinClear) * float64(m.take.Frame.Skin.W) / scene.Width
	masks := m.take.Study.Mattes[0].Masks
	from, id := m.begin(count), m.rnd.IntN(len(masks))
	direction, most := 0, -1.
	for d := range 8 {
		if lost := m.leftOut(from, displaced(masks[id].At(from).Points, px, d)); lost > most {
			direction, most = d, lost
		}
	}
	return m.changedMask(name, id, from, count, func(points []mask.Point) []mask.Point { return displaced(points, px, direction) })
}

// leftOut is how much skin of a frame lies outside an outline.
func (m *faultMaker) leftOut(frame int, points []mask.Point) (sum float64) {
	drawn, err := m.take.footage.Frame(context.Background(), frame, 1)
	if err != nil {
		panic(err)
	}
	skin := drawn.Skin
	var in colour.Plane
	layers := []mask.Layer{{Off: true}, {Shape: mask.Shape{Points: points, Opacity: 1}}}
	if err := mask.Compose(context.Background(), &in, layers, mask.Region{X1: skin.W, Y1: skin.H, Factor: 1}, 1); err != nil {
		panic(err)
	}
	for i, v := range skin.Pix {
		sum += float64(v * (1 - in.Pix[i]))
	}
	return sum
}

// limbCut has one mask's outline cut what it goes about by a straight line.
func (m *faultMaker) limbCut() fault {
	sin, cos := math.Sincos(2 * math.Pi * m.rnd.Float64())
	masks := m.take.Study.Mattes[0].Masks
	return m.changedMask("limb cut off", m.rnd.IntN(len(masks)), m.begin(faultFrames), faultFrames, func(points []mask.Point) []mask.Point {
		along := func(p mask.Point) float64 { return p.X*cos + p.Y*sin }
		least, most := math.Inf(1), math.Inf(-1)
		for _, p := range points {
			least, most = min(least, along(p)), max(most, along(p))
		}
		out := slices.Clone(points)
		for i, p := range out {
			if past := along(p) - (most - 0.3*(most-least)); past > 0 {
				out[i] = mask.Point{X: p.X - past*cos, Y: p.Y - past*sin}
			}
		}
		return out
	})
}

// changedMask has the keys of one mask changed on so many frames from one on, with right ones before and
// after them.
func (m *faultMaker) changedMask(name string, id, from, count int, change func([]mask.Point) []mask.Point) fault {
	doc := m.take.Study.Clone()
	track := &doc.Mattes[0].Masks[id].Track
	good := track.Clone()
	last := from + count - 1
	key := func(n int, wrong bool) {
		k := good.Keys[0]
		k.Frame, k.Points = n, good.At(n).Points
		if wrong {
			k.Points = change(k.Points)
		}
		track.SetKey(k)
	}
	key(from-1, false)
	key(last+1, false)
	for _, k := range good.Keys {
		if k.Frame > from && k.Frame < last {
			key(k.Frame, true)
		}
	}
	key(from, true)
	key(last, true)
	return fault{name, doc, m.source, [2]int{from, last}}
}
