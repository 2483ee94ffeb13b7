package batch

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"halocline/app/clip"
	"halocline/app/study"
	"halocline/mask"
)

var maskVerb = verb{
	name: "mask", usage: `STUDY --matte NAME [--points "X,Y X,Y X,Y..."] [--feather IN,OUT] [--rounded] [--drop] [--search PX] [--tight] [--found] [--way straight|step|curved|follow] [--before hold|follow] [--after hold|follow] [--keep-dab X,Y,R]... [--drop-dab X,Y,R]... [--clear-dabs] [--spare show|remove] [--name NAME] [--frame N]`,
	about: "Draw a mask for what colour cannot tell apart: a polygon, in pixels, feathered inward and outward, that a matte keeps to, or leaves out with --drop. " +
		"The name of a mask that is there gives that a key on the frame, with as many corners as it has; what is not given stays. " +
		"Without --name that is the matte's only mask; a matte without any gets its first, \"mask\", and of several one must be named. " +
		"With --search the outline is led to the picture's edge, about which it may be drawn lazily: all of the subject inside, and some of what is around it. " +
		"With --way follow the outline follows the picture's motion from its key on the frame to the next, from both keys and with the edge search where it has one; with --before and --after also beyond its keys. " +
		"On such a frame --points makes a key of any number of corners, and --found one of the outline that was followed. " +
		"With --spare show it prints the keys without which such a mask would stay as it is, --spare remove takes them away. " +
		"Without --points the other flags change a mask that is there: --tight, --feather and --way its key on the frame.",
	examples: []string{
		`halocline-batch mask transect.halocline --matte skin --points "410,220 780,240 760,610 400,590" --feather 12,20 --name swimmer`,
		`halocline-batch mask transect.halocline --matte skin --points "0,0 300,0 300,90" --drop --name surface`,
		`halocline-batch mask transect.halocline --matte skin --name swimmer --search 24 --keep-dab 590,300,6`,
		`halocline-batch mask transect.halocline --matte skin --name swimmer --found`,
		`halocline-batch mask transect.halocline --matte skin --name swimmer --frame 1 --way follow --after follow`,
		`halocline-batch mask transect.halocline --matte skin --name swimmer --spare show`,
	},
	run: runMask,
}

type maskResult struct {
	Study string        `json:"study"`
	Matte string        `json:"matte"`
	Masks []maskReport  `json:"masks"` // all of the matte's
	Dabs  []dabReport   `json:"maskDabs,omitempty"`
	Spare []spareReport `json:"spare,omitempty"` // keys that can go, or went
}

func runMask(ctx context.Context, c *call) error {
	f := newMaskFlags(c)
	args, err := c.parse(f.set, 1, 1)
	if err != nil {
		return err
	}
	if err := f.check(); err != nil {
		return err
	}
	w, err := c.openToChange(ctx, args[0])
	if err != nil {
		return err
	}
	if err := f.place(w); err != nil {
		return err
	}
	w.keepOutlines("")
	m, err := w.matte(f.matte)
	if err != nil {
		return err
	}
	notices, err := f.apply(ctx, w, m)
	if err != nil {
		return err
	}
	if f.spare != spareShow {
		if err := w.save(ctx, ""); err != nil {
			return err
		}
	}
	for _, n := range notices {
		c.notice("%s", n)
	}
	return c.printJSON(maskResult{w.Path, m.Name, reportMasks(m.Masks), reportDabs(m.MaskDabs), f.spares})
}

// apply changes a matte as the flags say, and returns what is to be told of it.
func (f *maskFlags) apply(ctx context.Context, w opened, m *study.Matte) (notices []string, err error) {
	f.dab(w.Study, m)
	if f.spare != "" || f.changesMask() {
		if notices, err = f.applyToMask(ctx, w, m); err != nil {
			return nil, err
		}
	}
	unheard, err := f.unheardDabs(ctx, w, m)
	return append(notices, unheard...), err
}

func (f *maskFlags) applyToMask(ctx context.Context, w opened, m *study.Matte) (notices []string, err error) {
	to, err := f.meant(m)
	switch {
	case err != nil:
		return nil, err
	case f.spare != "" && to != nil:
		var notice string
		f.spares, notice, err = f.spareKeys(ctx, w, m, to)
		return []string{notice}, err
	case f.points != nil:
		if to != nil && f.name == "" {
			notices = append(notices, fmt.Sprintf("mask %q has a key at frame %d now: --name draws another mask", to.Name, f.frame))
		}
		f.draw(w.Study, m, to)
		return notices, nil
	case to == nil:
		return nil, fmt.Errorf("batch: matte %q has no mask %q to change, want --points to draw it, or the name of one that is there: %s", m.Name, cmp.Or(f.name, firstMask), quotedNames(m.Masks, func(k study.Mask) string { return k.Name }))
	}
	f.change(to)
	if err := f.changeKey(to); err != nil {
		return nil, err
	}
	if !f.found {
		return nil, f.setWay(to)
	}
	id := to.ID
	if notices, err = f.takeFound(ctx, w, m, to); err != nil {
		return nil, err
	}
	return notices, f.setWay(m.Mask(id))
}

// place sets the frame, the study's first where none was given. A key may stand on
// a frame that is missing.
func (f *maskFlags) place(w opened) error {
	if !isSet(f.set, "frame") {
		f.frame = w.Study.Clip.First
	}
	if first, last := w.Clip.First(), w.Clip.Last(); f.frame < first || f.frame > last {
		return fmt.Errorf("batch: --frame is %d, want %d to %d", f.frame, first, last)
	}
	return nil
}

// firstMask is the name of the first mask of a matte where none is given.
const firstMask = "mask"

// meant returns the mask that is there and that the call changes; nil where it
// draws a new one. A call that could mean several, or would take a mask for what it
// is not, is an error.
func (f *maskFlags) meant(m *study.Matte) (*study.Mask, error) {
	if isSet(f.set, "name") {
		to := f.named(m)
		if to != nil && !f.redraws(to) {
			return to, f.fits(to)
		}
		return to, nil
	}
	switch len(m.Masks) {
	case 0:
		return nil, nil
	case 1:
		to := &m.Masks[0]
		if isSet(f.set, "drop") && f.drop != (to.Kind == study.Drop) {
			return nil, fmt.Errorf("batch: mask %q of matte %q is a %s mask, and --drop=%t asks for another kind: want --name with a new name for a mask of its own, or --name %q to change it",
				to.Name, m.Name, to.Kind, f.drop, to.Name)
		}
		return to, f.fits(to)
	}
	return nil, fmt.Errorf("batch: matte %q has the masks %s: want --name with one of them for a key of it, or with a new name for another mask", m.Name, quotedNames(m.Masks, func(k study.Mask) string { return k.Name }))
}

// redraws reports whether the call's key is in place of all that a mask has.
func (f *maskFlags) redraws(to *study.Mask) bool {
	return len(to.Keys) == 1 && to.Keys[0].Frame == f.frame
}

// fits returns an error where the outline that is drawn has another number of corners than
// a key that it shares them with.
func (f *maskFlags) fits(to *study.Mask) error {
	if f.points == nil {
		return nil
	}
	t := to.Clone()
	t.SetKey(f.key(&t))
	for i := 1; i < len(t.Keys); i++ {
		a, b := &t.Keys[i-1], &t.Keys[i]
		if a.Way == mask.Follow || len(a.Points) == len(b.Points) {
			continue
		}
		if a.Frame == f.frame {
			a = b
		}
		where := "in each of its keys"
		if to.Follows() {
			where = fmt.Sprintf("at frame %d", a.Frame)
		}
		return fmt.Errorf("batch: mask %q has %d corners and --points has %d, want %d as %s, or the way between to follow the picture (--way follow), or --name with a new name for another mask",
			to.Name, len(a.Points), len(f.points), len(a.Points), where)
	}
	return nil
}

// key is the key that is drawn, of a mask that is there: what is not given stays. It goes on
// as the key in its place does, or as the outline does where it lies.
func (f *maskFlags) key(of *mask.Track) study.MaskKey {
	t := of.Clone()
	t.MakeKey(f.frame)
	i := slices.IndexFunc(t.Keys, func(k study.MaskKey) bool { return k.Frame == f.frame })
	key := t.Keys[i]
	key.Points, key.Tight = f.points, f.tight
	if isSet(f.set, "feather") {
		key.Inner, key.Outer = f.feather.inner, f.feather.outer
	}
	if isSet(f.set, "way") {
		key.Way = f.way.Way
	}
	return key
}

// draw gives a mask a key; nil is a new mask.
func (f *maskFlags) draw(s *study.Study, m *study.Matte, to *study.Mask) {
	if to == nil {
		key := study.MaskKey{Frame: f.frame, Opacity: 1, Points: f.points, Tight: f.tight, Way: f.way.Way, Inner: f.feather.inner, Outer: f.feather.outer}
		to = s.AddMask(m, cmp.Or(f.name, firstMask), study.Keep, key)
	} else {
		key := f.key(&to.Track)
		to.MakeKey(f.frame)
		to.SetKey(key)
	}
	f.change(to)
}

// change sets what a mask has one of for all frames.
func (f *maskFlags) change(to *study.Mask) {
	if isSet(f.set, "rounded") {
		to.Rounded = f.rounded
	}
	if isSet(f.set, "search") {
		to.Search = f.search
	}
	if isSet(f.set, "before") {
		to.Before = f.before.Beyond
	}
	if isSet(f.set, "after") {
		to.After = f.after.Beyond
	}
	if isSet(f.set, "drop") {
		to.Kind = study.Keep
		if f.drop {
			to.Kind = study.Drop
		}
	}
}

// changeKey changes the key that a mask has on the frame.
func (f *maskFlags) changeKey(to *study.Mask) error {
	if !f.anySet("feather", "tight") {
		return nil
	}
	k, err := f.keyOn(to)
	if err != nil {
		return err
	}
	if isSet(f.set, "tight") {
		k.Tight = f.tight
	}
	if isSet(f.set, "feather") {
		k.Inner, k.Outer = f.feather.inner, f.feather.outer
	}
	return nil
}

// setWay sets how a mask goes on from its key on the frame.
func (f *maskFlags) setWay(to *study.Mask) error {
	if !isSet(f.set, "way") {
		return nil
	}
	k, err := f.keyOn(to)
	if err == nil {
		k.Way = f.way.Way
	}
	return err
}

// keyOn returns the key that a mask has on the frame.
func (f *maskFlags) keyOn(to *study.Mask) (*study.MaskKey, error) {
	i := slices.IndexFunc(to.Keys, func(k study.MaskKey) bool { return k.Frame == f.frame })
	if i < 0 {
		return nil, fmt.Errorf("batch: mask %q has no key at frame %d, want one of its keys, at %s, or --points for a new one", to.Name, f.frame, keyFrames(to))
	}
	return &to.Keys[i], nil
}

// keyFrames lists the frames of a mask's keys.
func keyFrames(m *study.Mask) string {
	var frames []int
	for _, k := range m.Keys {
		frames = append(frames, k.Frame)
	}
	return clip.FramesWord(clip.SpansOf(frames))
}

// named returns the matte's mask that --name means, without regard to case; nil
// where it means none.
func (f *maskFlags) named(m *study.Matte) *study.Mask {
	for i := range m.Masks {
		if strings.EqualFold(m.Masks[i].Name, f.name) {
			return &m.Masks[i]
		}
	}
	return nil
}
