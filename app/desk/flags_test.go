package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/shot"
	"halocline/app/desk/watch"
	"halocline/app/study"
)

// A flag that was put away is told no more until its frame is in other or clearly worse trouble;
// one of the frames after it takes its place.
func TestFindingsWithoutDismissedFlags(t *testing.T) {
	m := &study.Matte{ID: 3}
	m.Dismiss(study.Dismissed{Frame: 5, Trouble: "shift", Badness: 6})
	v := watch.Verdict{MatteID: 3}
	for n := range watch.WorstTold + 1 {
		v.Findings = append(v.Findings, shot.Finding{Frame: 5 + n, Trouble: "shift", Badness: 7})
	}
	out := withoutDismissed(v, m)
	require.Len(t, out.Findings, watch.WorstTold)
	assert.Equal(t, 6, out.Findings[0].Frame)
	assert.Equal(t, 5, v.Findings[0].Frame, "the verdict stays as it is")
	v.Findings[0].Badness = 9
	assert.Equal(t, 5, withoutDismissed(v, m).Findings[0].Frame, "clearly worse")
	v.Findings[0] = shot.Finding{Frame: 5, Trouble: "cut", Badness: 5}
	assert.Equal(t, 5, withoutDismissed(v, m).Findings[0].Frame, "other trouble")
	assert.Len(t, withoutDismissed(v, nil).Findings, watch.WorstTold)
}

// Putting a flag away is an edit of the study, which undo takes back.
func TestDismissingAFlagIsUndone(t *testing.T) {
	r := newRig(t, 9)
	line := r.line(r.MatteID)
	r.GoToFrame(5)
	r.takeVerdict(watch.Verdict{MatteID: r.MatteID, Line: line, Of: 9, Findings: []shot.Finding{
		{Frame: 5, Trouble: "flicker", Badness: 7}, {Frame: 2, Unjudged: true}, {Frame: 9, Trouble: "cut", Badness: 1},
	}})
	require.True(t, r.CanDismissFlag())
	r.DismissFlag()
	assert.Equal(t, []study.Dismissed{{Frame: 5, Trouble: "flicker", Badness: 7}}, r.Matte().Dismissed)
	assert.False(t, r.CanDismissFlag())
	assert.Len(t, r.Verdict().Findings, 2)
	r.GoToFrame(2)
	assert.False(t, r.CanDismissFlag(), "it cannot be judged")
	r.GoToFrame(9)
	assert.False(t, r.CanDismissFlag(), "it does not stand out")
	r.Undo()
	assert.Empty(t, r.Matte().Dismissed)
	assert.Len(t, r.Verdict().Findings, 3)
}
