package frame

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/view"
)

// BypassKey, as long as it is held, shows the frame without the trial.
const BypassKey = fyne.KeyT

// Ask asks for the picture that the viewer is to show. dragging: what is shown is
// being changed, and a coarse picture will do.
func (f *Frame) Ask(dragging bool) {
	d := f.desk
	s := d.Study()
	if s == nil {
		return
	}
	vp := f.viewer.Viewport()
	request := watch.Request{
		Renderer: d.Work.Renderer, Study: s, Frame: d.Frame, Vp: vp, Left: d.View, Right: d.View, Divider: -1,
		Beyond: d.ShowBeyond, Dragging: dragging, Asked: d.Moved, Kind: kindOf(d, dragging), Play: d.Playing, NoSearch: d.FollowingPaused(),
	}
	if d.Compare {
		request.Left, request.Divider = d.Other, d.Split*float64(vp.VW)
		f.viewer.SetDivider(d.Split)
		f.viewer.SetNames(d.Other.String(), d.View.String())
	} else {
		f.viewer.SetDivider(-1)
	}
	if m := d.Matte(); m != nil {
		request.Settings = &m.Settings
	} else { // the other views are of a matte
		request.Left, request.Right = view.Frame, view.Frame
	}
	request.Hidden = d.HiddenMattes()
	if d.BypassTrial {
		request.Left, request.Right = bypassed(request.Left), bypassed(request.Right)
	}
	f.picture.preview.Jobs.Ask(request)
}

// kindOf is what a trace says of the picture that is asked for now.
func kindOf(d *desk.Desk, dragging bool) watch.RequestKind {
	switch {
	case d.Scrubbing:
		return watch.ScrubRequest
	case dragging:
		return watch.DragRequest
	case d.Going:
		return watch.FrameRequest
	}
	return ""
}

// bypassed is what a view shows while the trial is bypassed.
func bypassed(v view.View) view.View {
	if v == view.Trial {
		return view.Frame
	}
	return v
}
