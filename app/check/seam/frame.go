package seam

import (
	"context"
	"errors"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

// A Frame is the Seam of a matte of a study on one frame, under its trial. It
// renders what it needs; its figures are in CIEDE2000 and its lengths in pixels of
// the source, on a proxy and of a part of the frame too.
type Frame struct {
	*Seam
	renderer *render.Renderer
	request  render.Request
	change   float64
}

// On looks at the frame of a request along the outline that its matte has
// without being softened. The settings are a matte's or a proof's. Where there is
// no seam the error is a NoneError. Where the trial is off or changes nothing
// there is a Seam, and its figures are 0.
func On(ctx context.Context, r *render.Renderer, q render.Request, workers int) (*Frame, error) {
	if q.Settings == nil {
		return nil, errors.New("seam: a seam needs a matte's settings")
	}
	source, err := r.Source(ctx, q.Study, q.Frame)
	if err != nil {
		return nil, err
	}
	shown, err := r.Shown(ctx, q)
	if err != nil {
		return nil, err
	}
	f := &Frame{renderer: r, request: q}
	before, err := f.softened(ctx, 0)
	if err != nil {
		return nil, err
	}
	whole, _ := source.Size()
	if f.Seam, err = New(ctx, shown, before, max(float64(whole)/f.factor(), float64(before.W)), workers); err != nil {
		return nil, err
	}
	if trial := q.Settings.Trial.At(q.Frame); trial.Grades() {
		f.change = f.Seam.Change(trial.CDL().Colour)
	}
	return f, nil
}

func (f *Frame) factor() float64 { return float64(max(1, f.request.Factor)) }

// softened renders the matte at another softness, in pixels of the source.
func (f *Frame) softened(ctx context.Context, softenPx float64) (colour.Plane, error) {
	q, s := f.request, *f.request.Settings
	s.Edge.Soften = study.Constant(softenPx)
	q.Settings = &s
	return f.renderer.Matte(ctx, q)
}

// Trial returns A of the matte's trial: by how much it changes the band in the
// mean, in CIEDE2000; 0 where it is off.
func (f *Frame) Trial() float64 { return f.change }

// Judge returns the figures of the matte as its settings have it.
func (f *Frame) Judge(ctx context.Context, workers int) (Figures, error) {
	m, err := f.renderer.Matte(ctx, f.request)
	if err != nil {
		return Figures{}, err
	}
	return f.Seam.Judge(ctx, m, f.change, workers)
}

// Sweep judges the matte at each softness, in px, rising, whatever its settings'
// is.
func (f *Frame) Sweep(ctx context.Context, softness []float64, workers int) (Sweep, error) {
	return f.Seam.Sweep(ctx, softness, f.change, workers, f.softened)
}

// Along returns where along the outline the seam of the matte shows, as its
// settings have it, in pixels of the source's frame.
func (f *Frame) Along(ctx context.Context) ([]Piece, error) {
	m, err := f.renderer.Matte(ctx, f.request)
	if err != nil {
		return nil, err
	}
	pieces, err := f.Seam.Along(ctx, m, f.change)
	if err != nil {
		return nil, err
	}
	k, from := float32(f.factor()), f.request.Region.Min
	x0, y0 := float32(int(max(0, from.X))/int(k))*k, float32(int(max(0, from.Y))/int(k))*k
	for i := range pieces {
		p := &pieces[i]
		p.X0, p.Y0, p.X1, p.Y1 = x0+k*p.X0, y0+k*p.Y0, x0+k*p.X1, y0+k*p.Y1
		p.Apart *= f.factor()
	}
	return pieces, nil
}
