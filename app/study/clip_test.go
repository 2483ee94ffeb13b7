package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestClipName(t *testing.T) {
	for _, c := range []struct {
		path  string
		first int
		want  string
	}{
		{"/dives/reef.png", 0, "reef"},
		{"/dives/reef.0041.png", 41, "reef"},
		{"/dives/reef_0000.png", 0, "reef"},
		{"/dives/transect/000001.png", 1, "transect"},
		{"/000001.png", 1, "000001"},
		{"/dives/VID20260312101500.png", 0, "VID20260312101500"}, // too long for a frame number
		{"/dives/GX010123.mov", 0, "GX010123"},                   // a movie's first frame is 0
		{"/dives/99999999999999999999.png", 0, "99999999999999999999"},
	} {
		assert.Equal(t, c.want, Clip{Path: c.path, First: c.first}.Name(), c.path)
	}
}
