package desk

import (
	"reflect"

	"halocline/app/study"
)

// WhatChanged tells where two studies differ: in which matte, 0 for none or
// several, and in which step of the work, -1 for none of them.
func WhatChanged(a, b *study.Study) (matteID int, st Step, differ bool) {
	if a == nil || b == nil || a == b {
		return 0, -1, false
	}
	if !reflect.DeepEqual(a.Base, b.Base) {
		return 0, StepBase, true
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

func whatChangedIn(a, b *study.Matte) (st Step, differ bool) {
	switch {
	case b == nil:
		return -1, true
	case !reflect.DeepEqual(a.Pick, b.Pick), !reflect.DeepEqual(a.Dabs, b.Dabs):
		return StepPick, true
	case !reflect.DeepEqual(a.Masks, b.Masks), !reflect.DeepEqual(a.Joins, b.Joins):
		return StepMasks, true
	case !reflect.DeepEqual(a.Edge, b.Edge):
		return StepEdge, true
	case !reflect.DeepEqual(a.Trial, b.Trial):
		return StepTrial, true
	case a.Name != b.Name, a.NotExported != b.NotExported:
		return -1, true
	}
	return -1, false
}

// WhereChanged tells on which frame two studies look different in a matte, 0 for
// the frame alone: the one shown where they do there, else the nearest key at
// which they do; ok is false where there is none.
func WhereChanged(a, b *study.Study, matteID, frame int) (at int, ok bool) {
	differ := func(f int) bool { return looks(a, matteID, f) != looks(b, matteID, f) }
	if differ(frame) {
		return frame, true
	}
	for _, f := range append(keyFramesOf(a, matteID), keyFramesOf(b, matteID)...) {
		if (!ok || distance(f, frame) < distance(at, frame)) && differ(f) {
			at, ok = f, true
		}
	}
	return at, ok
}

func distance(a, b int) int { return max(a-b, b-a) }

// looks says what a matte looks like on a frame, as far as the study makes it.
func looks(s *study.Study, matteID, frame int) string {
	if m := s.Matte(matteID); m != nil {
		return s.Digest(frame, m) + s.DigestFinished(frame)
	}
	return s.DigestShown(frame)
}

// keyFramesOf are the frames of all keys of the base, of a matte's values and of
// its masks, and of the mattes that it takes in.
func keyFramesOf(s *study.Study, matteID int) []int {
	m := s.Matte(matteID)
	all := keyFramesOfOne(s, m)
	if m != nil {
		for _, other := range s.JoinedMattes(&m.Settings) {
			all = append(all, keyFramesOfOne(s, other)...)
		}
	}
	return all
}

func keyFramesOfOne(s *study.Study, m *study.Matte) []int {
	var all []int
	for _, id := range ValueIDs() {
		if v := ValueOf(s, m, id); v != nil {
			all = append(all, FramesIn(v.Keys())...)
		}
	}
	if m != nil {
		for i := range m.Masks {
			all = append(all, FramesOf(&m.Masks[i].Track)...)
		}
	}
	return all
}
