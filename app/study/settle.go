package study

import "slices"

// A SettleAt is how the matte of a frame settles: it takes the mean with the mattes of the
// frame before and the one after, carried along the picture's motion.
type SettleAt struct {
	Share float64 // the weight in (0,1] of each neighbour where the motion is sure; the frame itself weighs 1
	// Before and After are the settings on those frames. They do not settle themselves, but
	// what they take in may.
	Before, After SettingsAt
}

// Beside returns the settings on the frame that lies step, -1 or 1, away.
func (t *SettleAt) Beside(step int) SettingsAt {
	if step < 0 {
		return t.Before
	}
	return t.After
}

// settleAt is how settings settle on a frame; nil where they do not.
func (s *Study) settleAt(set *Settings, frame, deep int) *SettleAt {
	share := set.Edge.Settle.At(frame)
	if share <= 0 {
		return nil
	}
	beside := func(step int) SettingsAt {
		at := s.unsettledAt(set, frame+step, deep)
		at.Trial = TrialAt{}
		return at
	}
	return &SettleAt{share, beside(-1), beside(1)}
}

// Settles reports whether the matte settles on any frame.
func (e *Edge) Settles() bool { return e.Settle.Keyed() || e.Settle.Value > 0 }

// Unsettled returns the settings without settling, also in what they take in.
func (at SettingsAt) Unsettled() SettingsAt {
	at.Settle = nil
	at.Joined = slices.Clone(at.Joined)
	for i := range at.Joined {
		at.Joined[i].Settings = at.Joined[i].Settings.Unsettled()
	}
	return at
}

// Settles reports whether the matte settles, or any that it takes in.
func (at *SettingsAt) Settles() bool {
	return at.Settle != nil || slices.ContainsFunc(at.Joined, func(j JoinedAt) bool { return j.Settings.Settles() })
}

// framesBehind are those frames in any order, some more than once.
func (at *SettingsAt) framesBehind(frame int) []int {
	all := []int{frame}
	for i := range at.Masks {
		if m := &at.Masks[i]; !m.Off && m.Stretch != nil {
			from, to := m.Stretch.Span()
			for n := from; n <= to; n++ {
				all = append(all, n)
			}
		}
	}
	for i := range at.Joined {
		all = append(all, at.Joined[i].Settings.framesBehind(frame)...)
	}
	if t := at.Settle; t != nil {
		all = append(all, t.Before.framesBehind(frame-1)...)
		all = append(all, t.After.framesBehind(frame+1)...)
	}
	return all
}
