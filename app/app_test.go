package app

import (
	"bytes"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
)

func run(args ...string) (status int, stdout, stderr string) {
	var out, err bytes.Buffer
	status = Run(args, &out, &err)
	return status, out.String(), err.String()
}

func TestHelp(t *testing.T) {
	status, stdout, stderr := run("--help")
	assert.Zero(t, status)
	assert.Equal(t, usage, stdout)
	assert.Empty(t, stderr)
}

func TestWrongCalls(t *testing.T) {
	for _, args := range [][]string{{"--zoom"}, {"--trace"}, {"a.png", "b.png"}} {
		status, stdout, stderr := run(args...)
		assert.Equal(t, 2, status, "%v", args)
		assert.Empty(t, stdout, "%v", args)
		assert.Contains(t, stderr, usage, "%v", args)
	}
}

func TestWithoutADisplayAndWithABadTrace(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("only here a variable says whether there is a display")
	}
	t.Setenv("WAYLAND_DISPLAY", "")
	t.Setenv("DISPLAY", "")
	status, _, stderr := run()
	assert.Equal(t, 1, status)
	assert.Equal(t, "halocline: there is no display to open a window on; the same work without one: halocline-batch demo\n", stderr)
	t.Setenv("DISPLAY", ":none")
	status, _, stderr = run("--trace", filepath.Join(t.TempDir(), "no", "trace"))
	assert.Equal(t, 1, status)
	assert.Contains(t, stderr, "the trace cannot be written")
}

func TestMemoryGrowsWithTheFrame(t *testing.T) {
	assert.EqualValues(t, memoryLimit, memoryFor(1920*1080))
	assert.EqualValues(t, memoryLimit, memoryFor(3840*2160))
	assert.EqualValues(t, 4*memoryLimit, memoryFor(4*limitPixels))
}
