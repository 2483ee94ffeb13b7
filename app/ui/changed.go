package ui

import (
	"reflect"

	"halocline/app/study"
)

// whatChanged tells where two studies differ: in which matte, 0 for none or
// several, and in which step of the work, -1 for none of them.
func whatChanged(a, b *study.Study) (matteID int, st step, differ bool) {
	if a == nil || b == nil || a == b {
		return 0, -1, false
	}
	if !reflect.DeepEqual(a.Base, b.Base) {
		return 0, stepBase, true
	}
	if len(a.Mattes) != len(b.Mattes) {
		return 0, -1, true
	}
	for i := range a.Mattes {
		if st, ok := whatChangedIn(&a.Mattes[i], b.Matte(a.Mattes[i].ID)); ok {
			return a.Mattes[i].ID, st, true
		}
	}
	return 0, -1, true
}

func whatChangedIn(a, b *study.Matte) (st step, differ bool) {
	switch {
	case b == nil:
		return -1, true
	case !reflect.DeepEqual(a.Pick, b.Pick), !reflect.DeepEqual(a.Dabs, b.Dabs):
		return stepPick, true
	case !reflect.DeepEqual(a.Masks, b.Masks):
		return stepMasks, true
	case !reflect.DeepEqual(a.Edge, b.Edge):
		return stepEdge, true
	case a.Name != b.Name:
		return -1, true
	}
	return -1, false
}
