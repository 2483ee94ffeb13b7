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
	require.Equal(t, 2, study.Engine, "with another engine the values below are others")
	for file, want := range map[string]struct {
		frame                          int
		matte, shown, finished, graded string
	}{
		"transect.halocline": {
			frame:    45,
			matte:    "a7563aa94fabeccc3519e0653604552fe27fd1db70566388c14a2c50d5750411",
			shown:    "4763ec769b5fe5884e9813358efc024e9ce7402c8cd1d03955f89b3a80c682f8",
			finished: "1e2785cd561996ef4b81d4ec23c8e387dadd5a8433d57349223f5d5b0360b6a8",
			graded:   "1e2785cd561996ef4b81d4ec23c8e387dadd5a8433d57349223f5d5b0360b6a8",
		},
		"seagrass.halocline": {
			frame:    150,
			matte:    "616ee6cb96dd7542bc0debd16120125fe95f6250f2e6a10fefc9028ecc21512e",
			shown:    "44876169a7bb85b35ba15a241ed9526b1fe0ad78018501d06d5f2ddb02a4a393",
			finished: "15ca38670451b3a6a78e5509ac93f82907c74036b2f9cada582a9e6d7bdd8b84",
			graded:   "15ca38670451b3a6a78e5509ac93f82907c74036b2f9cada582a9e6d7bdd8b84",
		},
		"plain.halocline": {
			frame:    0,
			matte:    "a99244dd9386f0995364ad559f3db0438af42d49810a6ebf41ea59084d87b4e3",
			shown:    "31f62eb138a2c433a20db0219580f98b6c3146b2634a0a49a5f354e946c32231",
			finished: "31f62eb138a2c433a20db0219580f98b6c3146b2634a0a49a5f354e946c32231",
			graded:   "a99244dd9386f0995364ad559f3db0438af42d49810a6ebf41ea59084d87b4e3",
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
