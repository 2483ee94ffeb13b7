package staging

import (
	"cmp"

	"halocline/app/scene"
	"halocline/mask"
)

// dropDabs is how many places to drop a matte is given: one on each of the other
// classes, as a person would begin.
const dropDabs = 3

// An annotation is what somebody marks by hand on one frame of the scene. On most
// frames it is the body alone.
type annotation struct {
	body   body
	seabed []mask.Point // the line above the open sand, and what lies below it
	dabs   []scene.Dabs // for each of classes; nil where nothing is dabbed
	slate  scene.Spot
	water  scene.Spot
}

// annotationOf annotates a frame; marked says whether dabs are made on it. A class too
// small for a dab is an error, and goes without.
func annotationOf(f *scene.Frame, seed int, marked bool) (a annotation, err error) {
	a = annotation{body: bodyOf(f.Skin), slate: f.Slate, water: f.OpenWater}
	if !marked {
		return a, nil
	}
	a.seabed = lineAbove(openTop(f.Sand), f.Sand.H)
	a.dabs = make([]scene.Dabs, len(classes))
	for i, c := range classes {
		dabs, failed := f.Dabs(c.class, seed)
		dabs.Drop = dabs.Drop[:min(dropDabs, len(dabs.Drop))]
		a.dabs[i] = dabs
		err = cmp.Or(err, failed)
	}
	return a, err
}

// anotherDraw is how far the draw of the skin's second three dabs lies from the
// first's.
const anotherDraw = 5000

// dabSkin dabs the skin again as one does who has drawn the masks first: six times
// on it, and on the rest, up to three times each, within the masks alone, for what
// they keep out needs no range.
func (a *annotation) dabSkin(f *scene.Frame, seed int) error {
	in := a.body.within(f.Skin.W, f.Skin.H)
	dabs, err := f.DabsWithin(scene.Skin, seed, &in)
	if err != nil {
		return err
	}
	more, err := f.DabsWithin(scene.Skin, seed+anotherDraw, &in)
	dabs.Keep = append(dabs.Keep, more.Keep...)
	a.dabs[0] = dabs
	return err
}

// marked returns which of so many frames are marked: first, middle, last.
func marked(i, count int) bool { return i == 0 || i == (count-1)/2 || i == count-1 }
