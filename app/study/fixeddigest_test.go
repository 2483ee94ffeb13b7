package study_test

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// Digests stand in manifests: exports know their files by them. They change with
// study.Engine and with the settings, and with nothing else: if this test fails
// after a change that alters no picture, the change is wrong, not the test. The
// values are our own.
func TestDigestsStay(t *testing.T) {
	require.Equal(t, 3, study.Engine, "with another engine the values below are others")
	for file, want := range map[string]struct {
		frame                          int
		matte, shown, finished, graded string
	}{
		"transect.halocline": {
			frame:    45,
			matte:    "91a2aabbd40fab2a713d12deddacbb7fcdaa11d260ed5864d325b629c851bba0",
			shown:    "03dddfda0eee12b3a035a38444f892240274a9bef187f68986d84b0dc89e2194",
			finished: "9d7fe5e945bd280648b1dbe40e0c3cc9dcd211c9f64307483bd5c9bbaf8a0fe9",
			graded:   "9d7fe5e945bd280648b1dbe40e0c3cc9dcd211c9f64307483bd5c9bbaf8a0fe9",
		},
		"seagrass.halocline": {
			frame:    150,
			matte:    "444322b24dc9c706b0ca7ba946f1dd6e3afef77c70f1633f4d2395fca709fd3d",
			shown:    "3ccbe35619d2b3875f167db1a07acbdf0bcba9a0c04a232c5f1541b133e80ee7",
			finished: "f4eb72f25492fb863699acdcfeb7af2e19280d530590689e591b07b71f46ffd0",
			graded:   "f4eb72f25492fb863699acdcfeb7af2e19280d530590689e591b07b71f46ffd0",
		},
		"plain.halocline": {
			frame:    0,
			matte:    "ef487e59d18a66b6a71c62b9a59c8cb22dd7371be0439ce0a24ba0a6fa81ec54",
			shown:    "645b5365bb08014857868921d7ea0a727dcdf0b77ca8de08c75e5b61e69dbc02",
			finished: "645b5365bb08014857868921d7ea0a727dcdf0b77ca8de08c75e5b61e69dbc02",
			graded:   "ef487e59d18a66b6a71c62b9a59c8cb22dd7371be0439ce0a24ba0a6fa81ec54",
		},
	} {
		s, err := study.Load(filepath.Join("testdata", file))
		require.NoError(t, err)
		s.Clip.Path = "/dive/" + filepath.Base(s.Clip.Path) // one without a fingerprint goes by it
		m := &s.Mattes[0]
		assert.Equal(t, want.matte, s.Digest(want.frame, m), "%s: matte", file)
		assert.Equal(t, want.shown, s.DigestShown(want.frame), "%s: shown", file)
		assert.Equal(t, want.finished, s.DigestFinished(want.frame), "%s: finished", file)
		assert.Equal(t, want.graded, s.DigestGraded(want.frame, &m.Settings), "%s: graded", file)
	}
}
