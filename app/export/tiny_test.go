package export

import (
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/study"
)

// Frames that are refused are those that the program cannot make a movie of.
func TestTooSmallForAMovie(t *testing.T) {
	if _, err := exec.LookPath(movieMaker); err != nil {
		t.Skip("no ffmpeg")
	}
	r := &run{Job: Job{Study: &study.Study{Clip: study.Clip{Rate: [2]int{25, 1}}}, Kind: Matte}}
	for _, size := range [][2]int{{1, 1}, {1, 9}, {9, 1}, {2, 2}, {3, 2}} {
		frame := raw{w: size[0], h: size[1], pix: make([]byte, 2*size[0]*size[1])}
		cmd := exec.Command(movieMaker, r.makerArgs(frame, filepath.Join(t.TempDir(), "a.mkv"))...)
		in, err := cmd.StdinPipe()
		assert.NoError(t, err)
		assert.NoError(t, cmd.Start())
		in.Write(frame.pix)
		in.Close()
		assert.Equal(t, cmd.Wait() != nil, tooSmall(frame) != nil, size)
	}
	assert.EqualError(t, tooSmall(raw{w: 1, h: 1}), "its frames have 1 x 1 pixels, want 2 x 2 or more for FFV1")
}
