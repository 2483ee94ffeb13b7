package study

import (
	"slices"

	"halocline/mask"
)

// FramesBehind returns the frames whose footage a picture of settings on a frame is made of,
// ascending: the frame itself, those beside it that it settles with, and all along the
// stretches on which masks follow the picture, also of what is taken in. has tells which of
// the others the footage has.
func (s *Study) FramesBehind(set *Settings, frame int, has func(n int) bool) []int {
	at := s.SettingsAt(set, frame)
	all := slices.DeleteFunc(at.framesBehind(frame), func(n int) bool { return n != frame && !has(n) })
	slices.Sort(all)
	return slices.Compact(all)
}

// Followed are the masks that follow the picture on the frame, also of what is taken in.
func (at *SettingsAt) Followed() (all []*mask.Layer) {
	for i := range at.Masks {
		if l := &at.Masks[i]; !l.Off && l.Stretch != nil {
			all = append(all, l)
		}
	}
	for i := range at.Joined {
		all = append(all, at.Joined[i].Settings.Followed()...)
	}
	return all
}
