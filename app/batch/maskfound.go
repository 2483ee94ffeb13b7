package batch

import (
	"context"
	"fmt"
	"slices"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/mask"
	"halocline/mask/edge"
)

// An edge that is found becomes outlines of so many pixels' precision; of a mask with keys
// at other frames, which get all its points too, coarser where they would be too many.
const (
	foundSlack  = 1   // pixels
	foundPoints = 400 // of all keys of one mask, more only if it had as many
	foundLeast  = 100 // pixels that a further part or a hole goes about: below, it is left out
)

// takeFound puts the edge that is found on the frame in place of a mask's outline there,
// and draws masks for its further parts and its holes.
func (f *maskFlags) takeFound(ctx context.Context, w opened, m *study.Matte, to *study.Mask) (notices []string, err error) {
	found, err := f.findEdge(ctx, w, m, to)
	if err != nil {
		return nil, err
	}
	loops := found.Loops(foundSlack)
	alone := len(to.Keys) == 1 && to.Keys[0].Frame == f.frame
	for slack := 2. * foundSlack; !alone && len(loops[0].Points)+len(to.Keys[0].Points) > foundPoints && slack < foundPoints; slack *= 2 {
		loops[0] = found.Loops(slack)[0]
	}
	if err := to.TakeOutline(f.frame, loops[0].Points, true); err != nil {
		return nil, fmt.Errorf("batch: mask %q: %w", to.Name, err)
	}
	return f.drawParts(ctx, w, m, study.Mask{Name: to.Name, Kind: to.Kind, Track: to.Clone()}, loops[1:], alone)
}

// findEdge finds the edge of one mask of a matte on the frame.
func (f *maskFlags) findEdge(ctx context.Context, w opened, m *study.Matte, to *study.Mask) (*edge.Found, error) {
	if to.Search == 0 {
		return nil, fmt.Errorf("batch: mask %q searches no edge, want --search PX with --found", to.Name)
	}
	if err := w.Study.Validate(); err != nil {
		return nil, err
	}
	only := m.Settings.Clone()
	only.Joins, only.Masks = nil, []study.Mask{*to}
	outlines, err := w.Renderer.Outlines(ctx, render.Request{Study: w.Study, Settings: &only, Frame: f.frame})
	switch {
	case err != nil:
		return nil, err
	case len(outlines) == 0 || outlines[0].Found == nil:
		return nil, fmt.Errorf("batch: mask %q does not work on frame %d, want a frame on which it does", to.Name, f.frame)
	case outlines[0].Found.Lost || len(outlines[0].Found.Loops(foundSlack)) == 0:
		return nil, fmt.Errorf("batch: mask %q: no edge was found at frame %d, want an outline about what has one: the mask stays as drawn", to.Name, f.frame)
	}
	return outlines[0].Found, nil
}

// drawParts draws masks like one for further parts of a found edge, and drop masks for holes
// in it. Where that mask has keys at other frames, they work on this frame alone.
func (f *maskFlags) drawParts(ctx context.Context, w opened, m *study.Matte, from study.Mask, loops []edge.Loop, everywhere bool) (notices []string, err error) {
	small := 0
	for _, l := range loops {
		why, err := unfit(ctx, w, from.Kind, l, loops)
		switch {
		case err != nil:
			return nil, err
		case l.Area() < foundLeast:
			small++
			continue
		case why != "":
			notices = append(notices, fmt.Sprintf("a hole of %.0f pixels near %.0f,%.0f stays filled: %s", l.Area(), l.Points[0].X, l.Points[0].Y, why))
			continue
		}
		part := f.drawPart(w.Study, m, &from, l)
		if !everywhere {
			part.In, part.Out = study.Bound{Set: true, Frame: f.frame}, study.Bound{Set: true, Frame: f.frame}
			notices = append(notices, fmt.Sprintf("%s mask %q works on frame %d alone: mask %q has keys at other frames", part.Kind, part.Name, f.frame, from.Name))
		}
	}
	if small > 0 {
		notices = append(notices, fmt.Sprintf("%d parts and holes of less than %d pixels are left out", small, foundLeast))
	}
	return notices, nil
}

// unfit says why no mask can be drawn for a hole, "" where one can.
func unfit(ctx context.Context, w opened, kind study.Kind, l edge.Loop, loops []edge.Loop) (string, error) {
	if !l.Hole {
		return "", nil
	}
	if kind == study.Drop {
		return "a mask cannot keep what a drop mask leaves out", nil
	}
	for _, part := range loops {
		if part.Hole || part.Area() < foundLeast || part.Area() >= l.Area() {
			continue
		}
		within, err := edge.Heeds(ctx, mask.Shape{Points: l.Points}, mask.Search{}, part.Points[0], w.Clip.Info().Height)
		if within || err != nil {
			return "a drop mask there would take away the part that lies in it", err
		}
	}
	return "", nil
}

// drawPart draws a mask like one, about a loop of the edge that was found for it.
func (f *maskFlags) drawPart(s *study.Study, m *study.Matte, from *study.Mask, l edge.Loop) *study.Mask {
	i := slices.IndexFunc(from.Keys, func(k study.MaskKey) bool { return k.Frame == f.frame })
	key, kind := from.Keys[i], from.Kind
	key.Points = l.Points
	if l.Hole { // it fades the other way
		kind, key.Inner, key.Outer = study.Drop, key.Outer, key.Inner
	}
	part := s.AddMask(m, from.Name, kind, key)
	part.Search = from.Search
	return part
}
