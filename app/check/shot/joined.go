package shot

import (
	"context"
	"fmt"
	"image"
	"math"
	"slices"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// A matte that takes in others is judged as a whole: by its final alpha and by the dabs
// of all that is in it. Where a mask lies about what is picked is judged for every mask
// in it, since one that is off moves the whole. What a mask's edge cuts through is judged
// for the matte's own masks, with what is taken in covering them: the edges of other
// mattes' masks are judged with those mattes.

// A maskedPick is one of the mattes that are in a shot: a pick and its masks.
type maskedPick struct {
	settings *study.Settings
	matte    string // the name of one that is taken in; "" for the shot's own
}

// maskedPicks are the shot's own settings and those of all mattes that it takes in.
func (s *Shot) maskedPicks() []maskedPick {
	all := []maskedPick{{settings: s.Settings}}
	for _, m := range s.Study.JoinedMattes(s.Settings) {
		all = append(all, maskedPick{&m.Settings, m.Name})
	}
	return all
}

// keys returns which masks have a key on a frame, by their ids.
func (s *Shot) keys() map[int][]int {
	keys := map[int][]int{}
	for _, p := range s.maskedPicks() {
		for _, m := range p.settings.Masks {
			for _, k := range m.Keys {
				keys[k.Frame] = append(keys[k.Frame], m.ID)
			}
		}
	}
	return keys
}

// names returns what sentences call the masks, by their ids.
func (s *Shot) names() map[int]string {
	names := map[int]string{}
	for _, p := range s.maskedPicks() {
		for _, m := range p.settings.Masks {
			names[m.ID] = fmt.Sprintf("%q", m.Name)
			if p.matte != "" {
				names[m.ID] += fmt.Sprintf(" of matte %q", p.matte)
			}
		}
	}
	return names
}

// reached is what keep masks let the matte of settings reach, in pixels of the source;
// not bounded where they leave it the whole frame, as where it settles with mattes that moved.
func reached(at study.SettingsAt) (out image.Rectangle, bounded bool) {
	if at.Settle != nil {
		return image.Rectangle{}, false
	}
	for _, l := range at.Masks {
		if l.Drop {
			continue
		}
		bounded = true
		if l.Off {
			continue
		}
		low, high := l.Bounds()
		out = out.Union(image.Rect(int(math.Floor(low.X)), int(math.Floor(low.Y)), int(math.Ceil(high.X)), int(math.Ceil(high.Y))))
	}
	for _, j := range at.Joined {
		part, partBounded := reached(j.Settings)
		switch {
		case partBounded: // also what is taken away, for its masks are looked at
			out = out.Union(part)
		case j.How == study.Add || j.How == study.Touching:
			return image.Rectangle{}, false
		}
	}
	if !out.Empty() {
		past := selection.Edge{Grow: at.Edge.Grow, Soften: at.Edge.Soften}
		out = out.Inset(-past.Reach(1))
	}
	return out, bounded
}

// uncovered is what is seen of the shot's own part of a moment's matte: that which nothing
// that is taken in covers. A mask that ends where another matte goes on cuts through
// nothing.
func (p *pass) uncovered(ctx context.Context, r *render.Renderer, now *moment) (colour.Plane, error) {
	if len(p.Settings.Joins) == 0 {
		return now.matte, nil
	}
	own := *p.Settings
	own.Joins = slices.Clone(own.Joins)
	for i := range own.Joins {
		if how := &own.Joins[i].How; *how == study.Add || *how == study.Touching {
			*how = study.TakeAway
		}
	}
	q := now.request
	q.Settings = &own
	return r.Matte(ctx, q)
}
