package scene

import (
	"context"
	"fmt"

	"halocline/colour"
)

// The size and length of the scene as the program shows it.
const (
	Width, Height = 1280, 720
	Frames        = 72
	FPS           = 25
)

// A Spot is a disc of the picture: its centre and radius in pixels.
type Spot struct{ X, Y, Radius float64 }

// A Frame is one picture of the scene with the truth about it.
type Frame struct {
	// Image is display-encoded sRGB; every value is k/255.
	Image *colour.Image
	// Skin, Sand and Water are the true mattes in [0,1]: the share of each
	// pixel's area after the blur of lens and motion. The rest, up to 1, is
	// leaves, clothes, slate and tape.
	Skin, Sand, Water colour.Plane
	// Swimmer is the true matte of the volunteer: skin, clothes, and what they carry.
	Swimmer colour.Plane
	// Slate and OpenWater lie wholly on the grey slate and in open water.
	Slate, OpenWater Spot
}

// A moment is the scene as it stands while one frame's shutter is open.
type moment struct {
	*scene
	t       float64 // seconds since frame 1
	water   water   // under the swell of this moment
	lights  *lights
	cam     camera // in the middle of the exposure
	net     *net
	shade   *groundShade
	touch   vec // where the tape meets the sand
	figures [instants]*figure
	cams    [instants]camera
}

// Limits of a picture's size: below, three dabs cannot be told apart; above,
// a frame takes gigabytes.
const (
	minSide = 64
	maxSide = 8192
)

// Render returns a frame, counted from 1, of the scene of a seed at w x h
// pixels. The same arguments give the same bytes for any number of workers
// (0 = one for each processor), and no frame needs another. It fails if the
// frame is below 1, the size outside [64,8192], or ctx ends.
func Render(ctx context.Context, seed, frame, w, h, workers int) (*Frame, error) {
	s, err := NewClip(ctx, seed, w, h)
	if err != nil {
		return nil, err
	}
	return s.Frame(ctx, frame, workers)
}

// A Clip is the scene of a seed at one size, whose frames can be had in any
// order and several at once.
type Clip struct{ scene *scene }

// NewClip sets the scene and its camera up. It fails as Render does.
func NewClip(ctx context.Context, seed, w, h int) (*Clip, error) {
	if w < minSide || h < minSide || w > maxSide || h > maxSide {
		return nil, fmt.Errorf("scene: size %d x %d, want each side from %d to %d", w, h, minSide, maxSide)
	}
	s, err := newScene(ctx, seed, w, h)
	if err != nil {
		return nil, err
	}
	return &Clip{s}, nil
}

// Frame returns a frame of the clip, the same that Render does.
func (s *Clip) Frame(ctx context.Context, frame, workers int) (*Frame, error) {
	if frame < 1 {
		return nil, fmt.Errorf("scene: frame %d, want 1 or more", frame)
	}
	f := s.scene.moment(frame)
	l, err := f.develop(ctx, workers)
	if err != nil {
		return nil, err
	}
	out := &Frame{Skin: l.planes[skinCover], Sand: l.planes[sandCover], Water: l.planes[waterCover], Swimmer: l.planes[swimmerCover]}
	out.Image, err = f.expose8(ctx, l, frame, workers)
	if err != nil {
		return nil, err
	}
	for _, p := range []colour.Plane{out.Skin, out.Sand, out.Water, out.Swimmer} {
		for i, v := range p.Pix {
			p.Pix[i] = max(0, min(1, v))
		}
	}
	out.Slate = f.slateSpot()
	out.OpenWater = f.openWaterSpot(func(x, y int) float64 { return float64(out.Water.At(x, y)) })
	return out, nil
}

// moment returns the scene at a frame.
func (s *scene) moment(frame int) *moment {
	t := float64(frame-1) / FPS
	f := &moment{scene: s, t: t, cam: s.cameraAtTime(t), water: s.water, lights: s.lights}
	if u := s.course.along(t); u > 0 {
		f.water.depth += s.course.swell * u
		f.lights = newLights(f.water, s.things)
	}
	f.net = newNet(s.seed, t)
	for i := range f.figures {
		// The shutter is open for half of the frame's time.
		dt := (float64(i) + 0.5 - instants/2.0) / instants * 0.5 / FPS
		f.figures[i] = s.figureAt(t + dt)
		f.cams[i] = s.cameraAtTime(t + dt)
	}
	middle := f.figures[instants/2]
	f.touch = middle.touch
	f.shade = s.newShade(middle)
	return f
}

// develop draws the layers from back to front and looks at them through the
// lens.
func (f *moment) develop(ctx context.Context, workers int) (*layer, error) {
	strokes := make([]stroke, len(f.meadow))
	for i := range f.meadow {
		strokes[i] = f.strokeOf(&f.meadow[i])
	}
	behind, beside, close := f.split(strokes)
	l, body, front := newLayer(f.w, f.h), newLayer(f.w, f.h), newLayer(f.w, f.h)
	err := colour.EachBand(ctx, workers, f.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range f.w {
				l.put(x, y, f.backdrop(float64(x)+0.5, float64(y)+0.5))
			}
		}
		paintAll(l, behind, y0, y1)
	})
	if err != nil {
		return nil, err
	}
	if err := f.soften(ctx, workers, l); err != nil {
		return nil, err
	}
	err = colour.EachBand(ctx, workers, f.h, func(y0, y1 int) {
		f.swimmer(body, y0, y1)
		l.lay(body, y0, y1)
		paintAll(l, beside, y0, y1)
		paintAll(front, close, y0, y1)
	})
	if err != nil {
		return nil, err
	}
	return l, f.focus(ctx, workers, l, front)
}
