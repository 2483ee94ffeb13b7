package frame

import (
	"halocline/app/desk"
	"halocline/app/desk/watch"
)

// A picture is what the viewer shows, as the preview made it.
type picture struct {
	desk    *desk.Desk
	preview *watch.Preview
}

// frame is the frame of the picture that is shown last, or about to be: while the clip is
// scrubbed through, marks are drawn as they are there.
func (p picture) frame() int {
	if s := p.preview.Last.Load(); s != nil && p.desk.Scrubbing && s.Request.Kind == watch.ScrubRequest {
		return s.Request.Frame
	}
	return p.desk.Frame
}

// weightAt is the weight of a pixel in the chosen matte, if that is known.
func (p picture) weightAt(x, y int) (weight float64, known bool) {
	if p.desk.Fresh() && p.desk.Found.Matte != nil {
		return float64(p.desk.Found.Matte.Row(y)[x]), true
	}
	s := p.preview.Last.Load()
	if s == nil || s.Layers.Matte == nil {
		return 0, false
	}
	l := s.Layers
	px, py := (x-l.Region.Min.X)/l.Factor, (y-l.Region.Min.Y)/l.Factor
	if x < l.Region.Min.X || y < l.Region.Min.Y || px >= l.Matte.W || py >= l.Matte.H {
		return 0, false
	}
	return float64(l.Matte.Row(py)[px]), true
}
