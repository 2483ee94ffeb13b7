package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/selection"
)

// What was put away stays so until it is of another kind or half as bad again.
func TestDismissedFlagsComeBack(t *testing.T) {
	s := New(Clip{Path: "a.png", First: 1, Count: 20})
	m := s.AddMatte("skin", selection.LCh)
	for _, d := range []Dismissed{{9, "shift", 6}, {3, "flicker", 5}, {12, "cut", 8}} {
		m.Dismiss(d)
	}
	require.NoError(t, s.Validate())
	assert.True(t, m.Dismisses(9, "shift", 6))
	assert.True(t, m.Dismisses(9, "shift", 8.9))
	assert.False(t, m.Dismisses(9, "shift", 9), "clearly worse")
	assert.False(t, m.Dismisses(9, "cut", 2), "another kind")
	assert.False(t, m.Dismisses(10, "shift", 6))
	m.Dismiss(Dismissed{9, "cut", 7})
	assert.True(t, m.Dismisses(9, "cut", 7))
	assert.False(t, m.Dismisses(9, "shift", 6), "one a frame")
	assert.Len(t, m.Dismissed, 3)
	assert.Equal(t, s, decoded(t, encoded(t, s)), "it is kept in the file")
}

// No picture depends on flags, and a study without any is written as before.
func TestDismissedFlagsAreOfNoDigest(t *testing.T) {
	s := New(Clip{Path: "a.png", First: 1, Count: 20})
	m := s.AddMatte("skin", selection.LCh)
	assert.NotContains(t, encoded(t, s), "dismissed")
	before := s.Digest(9, m)
	copied := s.Clone()
	copied.Mattes[0].Dismiss(Dismissed{9, "shift", 6})
	assert.Equal(t, before, copied.Digest(9, &copied.Mattes[0]))
	assert.Empty(t, s.Mattes[0].Dismissed, "a clone has its own")
}

func TestDismissedFlagsInOrder(t *testing.T) {
	s := New(Clip{Path: "a.png", First: 1, Count: 20})
	m := s.AddMatte("skin", selection.LCh)
	m.Dismissed = []Dismissed{{9, "shift", 6}, {9, "cut", 6}}
	assert.ErrorContains(t, s.Validate(), `stands after frame 9, want ascending frames`)
	m.Dismissed = []Dismissed{{9, "shift", -1}}
	assert.ErrorContains(t, s.Validate(), "badness is -1, want 0 to")
}
