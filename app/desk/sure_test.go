package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk/watch"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/mask"
)

// judgedNow waits until all frames of the clip are judged as the study is now.
func (r *rig) judgedNow() watch.Verdict {
	r.t.Helper()
	r.await("the verdict", func() bool {
		v := r.Verdict()
		return v.Study == r.Study() && v.Of > 0 && v.Left == 0
	})
	return r.Verdict()
}

// How sure the outlines are on frames that nobody went to is known once the clip is judged, for
// as long as the keys stay.
func TestHowSureFramesAreThatNobodyWentTo(t *testing.T) {
	r := newFollowedRig(t, 7, 6)
	v := r.judgedNow()
	known := r.SureAt(r.MaskID)
	require.Len(t, known, 5, "all but the keys")
	for frame, sure := range known {
		assert.Equal(t, *v.At(frame).Confidence, sure, "frame %d", frame)
	}
	r.GoToFrame(4)
	assert.Equal(t, known[4], r.awaitOutline().Confidence)
	r.set(func(m *study.Matte) { m.Edge.Soften.Fix(1) })
	assert.Equal(t, known, r.SureAt(r.MaskID), "softness has no part in it")
	r.EditMask("Move", func(m *study.Mask) error { return m.MovePoint(7, mask.Here, 0, 1, 0) })
	assert.Empty(t, r.SureAt(r.MaskID), "it was between other keys")
	r.Undo()
	assert.Equal(t, known, r.SureAt(r.MaskID))
	r.Edit("Base", func(s *study.Study, _ *study.Matte) error { s.Base.Exposure.Fix(1); return nil })
	assert.Empty(t, r.SureAt(r.MaskID), "another base makes another edge")
}

// Where the mask may have lost it is among the worst frames of a clip that nobody went through.
func TestWorstFramesOfAMaskThatMayHaveLostIt(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	r.EditMask("Key elsewhere", func(m *study.Mask) error {
		m.Move(7, mask.Here, -30, 14)
		return nil
	})
	v := r.judgedNow()
	require.NotEmpty(t, v.Findings)
	assert.Contains(t, v.Findings[0].Sentence, "the mask may have lost it here: set a key")
	assert.Less(t, r.SureAt(r.MaskID)[v.Findings[0].Frame], Sure)
}

// A verdict of before an edit says nothing of the keys as they are now.
func TestAVerdictOfBeforeAnEdit(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	v := r.judgedNow()
	r.EditMask("Move", func(m *study.Mask) error { return m.MovePoint(7, mask.Here, 0, 1, 0) })
	r.takeVerdict(v)
	assert.Empty(t, r.SureAt(r.MaskID))
}

// BenchmarkSureAt is what a move of a vertex costs the lanes of a long shot.
func BenchmarkSureAt(b *testing.B) {
	r := newFollowedRig(b, 7, 6)
	r.EditMask("Vertices", func(m *study.Mask) error {
		for range 200 {
			if _, err := m.InsertPoint(1, 0, 0.5); err != nil {
				return err
			}
		}
		return nil
	})
	was := r.Study()
	const frames = 2000
	for n := 2; n < frames; n++ {
		if l, ok := layerOf(r.Matte(), r.MaskID, min(n, 6)); ok {
			r.keepSure(was, r.MaskID, n, render.Outline{Layer: l, Confidence: 1})
		}
	}
	r.EditMask("Move", func(m *study.Mask) error { return m.MovePoint(7, mask.Here, 0, 1, 0) })
	for b.Loop() {
		r.SureAt(r.MaskID)
	}
}
