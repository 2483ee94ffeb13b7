package batch

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"halocline/app/clip"
	"halocline/app/study"
)

var maskVerb = verb{
	name: "mask", usage: `STUDY --matte NAME [--points "X,Y X,Y X,Y..."] [--feather IN,OUT] [--rounded] [--drop] [--search PX] [--tight] [--found] [--keep-dab X,Y,R]... [--drop-dab X,Y,R]... [--clear-dabs] [--name NAME] [--frame N]`,
	about: "Draw a mask for what colour cannot tell apart: a polygon, in pixels, feathered inward and outward, that a matte keeps to, or leaves out with --drop. " +
		"The name of a mask that is there gives that a key on the frame, with as many corners as it has; what is not given stays. " +
		"Without --name that is the matte's only mask; a matte without any gets its first, \"mask\", and of several one must be named. " +
		"With --search the outline is led to the picture's edge, about which it may be drawn lazily: all of the subject inside, and some of what is around it. " +
		"Without --points the other flags change a mask that is there: --tight and --feather its key on the frame.",
	examples: []string{
		`halocline-batch mask transect.halocline --matte skin --points "410,220 780,240 760,610 400,590" --feather 12,20 --name swimmer`,
		`halocline-batch mask transect.halocline --matte skin --points "0,0 300,0 300,90" --drop --name surface`,
		`halocline-batch mask transect.halocline --matte skin --name swimmer --search 24 --keep-dab 590,300,6`,
		`halocline-batch mask transect.halocline --matte skin --name swimmer --found`,
	},
	run: runMask,
}

type maskResult struct {
	Study string       `json:"study"`
	Matte string       `json:"matte"`
	Masks []maskReport `json:"masks"` // all of the matte's
	Dabs  []dabReport  `json:"maskDabs,omitempty"`
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
	m, err := w.matte(f.matte)
	if err != nil {
		return err
	}
	notices, err := f.apply(ctx, w, m)
	if err != nil {
		return err
	}
	if err := w.save(ctx, ""); err != nil {
		return err
	}
	for _, n := range notices {
		c.notice("%s", n)
	}
	return c.printJSON(maskResult{w.Path, m.Name, reportMasks(m.Masks), reportDabs(m.MaskDabs)})
}

// apply changes a matte as the flags say, and returns what is to be told of it.
func (f *maskFlags) apply(ctx context.Context, w opened, m *study.Matte) (notices []string, err error) {
	f.dab(w.Study, m)
	if f.changesMask() {
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
	if f.found {
		return f.takeFound(ctx, w, m, to)
	}
	return nil, nil
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

// fits returns an error where a mask has another number of corners than
// the outline that is drawn.
func (f *maskFlags) fits(to *study.Mask) error {
	if f.points == nil {
		return nil
	}
	if has := len(to.Keys[0].Points); has != len(f.points) {
		return fmt.Errorf("batch: mask %q has %d corners and --points has %d, want %d as in each of its keys, or --name with a new name for another mask",
			to.Name, has, len(f.points), has)
	}
	return nil
}

// draw gives a mask a key; nil is a new mask.
func (f *maskFlags) draw(s *study.Study, m *study.Matte, to *study.Mask) {
	key := study.MaskKey{Frame: f.frame, Opacity: 1}
	if to != nil {
		at := to.At(f.frame)
		key.Inner, key.Outer, key.Opacity = at.Inner, at.Outer, at.Opacity
	}
	key.Points, key.Tight = f.points, f.tight
	if isSet(f.set, "feather") {
		key.Inner, key.Outer = f.feather.inner, f.feather.outer
	}
	if to == nil {
		to = s.AddMask(m, cmp.Or(f.name, firstMask), study.Keep, key)
	} else {
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
	i := slices.IndexFunc(to.Keys, func(k study.MaskKey) bool { return k.Frame == f.frame })
	if i < 0 {
		return fmt.Errorf("batch: mask %q has no key at frame %d, want one of its keys, at %s, or --points for a new one", to.Name, f.frame, keyFrames(to))
	}
	if isSet(f.set, "tight") {
		to.Keys[i].Tight = f.tight
	}
	if isSet(f.set, "feather") {
		to.Keys[i].Inner, to.Keys[i].Outer = f.feather.inner, f.feather.outer
	}
	return nil
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
