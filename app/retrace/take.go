package retrace

import (
	"context"
	"fmt"
	"slices"

	"halocline/app/study"
	"halocline/mask"
	"halocline/mask/edge"
)

// An edge that is found becomes outlines of so many pixels' precision; of a mask with keys
// at other frames, which get all its points too, coarser where they would be too many.
const (
	slack = 1   // pixels
	most  = 400 // points of all keys of one mask, more only if it had as many
)

// Least is how many pixels a further part or a hole goes about, at least: below, it is left
// out.
const Least = 100

// Take puts the edge that was found on a frame in place of the outline that a matte's mask
// has there, and draws masks for its further parts and its holes. What stands in the way is
// a *Refusal; after any error the study is half changed, and must be given up.
func Take(ctx context.Context, s *study.Study, m *study.Matte, maskID, frame int, found *edge.Found) (*Taken, error) {
	to := m.Mask(maskID)
	if to == nil {
		return nil, fmt.Errorf("matte %q has no mask with id %d", m.Name, maskID)
	}
	if r := Check(to, frame); r != nil {
		return nil, r
	}
	loops := found.Loops(slack)
	if found.Lost || len(loops) == 0 {
		return nil, lost(to, frame)
	}
	elsewhere := to.KeysElsewhere(frame)
	alone := !elsewhere || to.Alone(frame)
	for coarse := 2. * slack; !alone && len(loops[0].Points)+len(to.At(frame).Points) > most && coarse < most; coarse *= 2 {
		loops[0] = found.Loops(coarse)[0]
	}
	if err := to.TakeOutline(frame, loops[0].Points, true); err != nil {
		return nil, fmt.Errorf("mask %q: %w", to.Name, err)
	}
	p := parts{study: s, matte: m, loops: loops[1:],
		from:  study.Mask{Name: to.Name, Kind: to.Kind, Track: to.Clone()},
		taken: Taken{Mask: to.Name, Frame: frame, Here: elsewhere}}
	if err := p.draw(ctx); err != nil {
		return nil, err
	}
	return &p.taken, nil
}

// parts are the further parts of a found edge, and the holes in it.
type parts struct {
	study *study.Study
	matte *study.Matte
	from  study.Mask // that the edge was found for
	loops []edge.Loop
	taken Taken
}

// draw draws masks like the first for parts, and drop masks for holes. Where the first has
// keys at other frames, they work on this frame alone.
func (p *parts) draw(ctx context.Context) error {
	for _, l := range p.loops {
		if l.Area() < Least {
			p.taken.Small.add(l.Hole)
			continue
		}
		why, err := p.unfit(ctx, l)
		switch {
		case err != nil:
			return err
		case why != "":
			p.taken.Filled = append(p.taken.Filled, Filled{l.Area(), l.Points[0], why})
		default:
			p.drawOne(l)
		}
	}
	return nil
}

// unfit says why no mask can be drawn for a loop, "" where one can.
func (p *parts) unfit(ctx context.Context, l edge.Loop) (string, error) {
	if !l.Hole {
		return "", nil
	}
	if p.from.Kind == study.Drop {
		return "a mask cannot keep what a drop mask leaves out", nil
	}
	for _, part := range p.loops {
		if part.Hole || part.Area() < Least || part.Area() >= l.Area() {
			continue
		}
		// The picture's lines count for a tight outline alone.
		within, err := edge.Heeds(ctx, mask.Shape{Points: l.Points}, mask.Search{}, part.Points[0], 0)
		if within || err != nil {
			return "a drop mask there would take away the part that lies in it", err
		}
	}
	return "", nil
}

// drawOne draws a mask like the first about a loop.
func (p *parts) drawOne(l edge.Loop) {
	frame := p.taken.Frame
	i := slices.IndexFunc(p.from.Keys, func(k study.MaskKey) bool { return k.Frame == frame })
	key, kind := p.from.Keys[i], p.from.Kind
	key.Points = l.Points
	name := p.from.Name
	if l.Hole { // it fades the other way
		name, kind, key.Inner, key.Outer = p.freeHole(), study.Drop, key.Outer, key.Inner
	}
	part := p.study.AddMask(p.matte, name, kind, key)
	part.Search = p.from.Search
	if p.taken.Here {
		only := study.Bound{Set: true, Frame: frame}
		part.In, part.Out = only, only
	}
	p.taken.Drawn = append(p.taken.Drawn, Drawn{kind, part.Name})
}

// freeHole is the first of "hole 1", "hole 2" and so on that none of the matte's masks is
// called.
func (p *parts) freeHole() string {
	for n := 1; ; n++ {
		name := fmt.Sprintf("hole %d", n)
		if !slices.ContainsFunc(p.matte.Masks, func(m study.Mask) bool { return study.Fold(m.Name) == study.Fold(name) }) {
			return name
		}
	}
}
