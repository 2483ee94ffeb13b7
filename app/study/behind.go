package study

import (
	"slices"

	"halocline/mask"
)

// FramesBehind returns the frames whose footage a picture of settings on a frame is made of,
// ascending: the frame itself, and all along the stretches on which masks follow the picture
// to it, also of what is taken in. has tells which of the others the footage has.
func (s *Study) FramesBehind(set *Settings, frame int, has func(n int) bool) []int {
	frames := []int{frame}
	at := s.SettingsAt(set, frame)
	for _, stretch := range at.stretches() {
		from, to := stretch.Span()
		for n := from; n <= to; n++ {
			if n != frame && has(n) {
				frames = append(frames, n)
			}
		}
	}
	slices.Sort(frames)
	return slices.Compact(frames)
}

// Follows reports whether any mask follows the picture on the frame, also of what is taken in.
func (at *SettingsAt) Follows() bool { return len(at.stretches()) > 0 }

// stretches are those of the masks that follow the picture, also of what is taken in.
func (at *SettingsAt) stretches() (all []*mask.Stretch) {
	for i := range at.Masks {
		if m := &at.Masks[i]; !m.Off && m.Stretch != nil {
			all = append(all, m.Stretch)
		}
	}
	for i := range at.Joined {
		all = append(all, at.Joined[i].Settings.stretches()...)
	}
	return all
}
