package ui

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// The reason stands in the message: in its first line where there is room, else in its second.
func TestMessagesSayWhy(t *testing.T) {
	m := newMessages(nil, func(desk.Problem) {}, func() {})
	for _, c := range []struct{ what, todo, err, first, second string }{
		{"Not opened: a.png", "Open another file.", "clip: /films/a.png: it is empty", "Not opened: a.png: it is empty", "Open another file."},
		{"Not opened: empty", "Open another file.", "clip: /films/empty: a folder without numbered pictures, want names such as shot.0001.png or the like",
			"Not opened: empty", "A folder without numbered pictures, want names such as shot.0001.png or the like. Open another file."},
		{"Not opened: sound.m4a", "Open a PNG, JPEG, TIFF, BMP or WebP picture, a movie, or a study.",
			"clip: /films/sound.m4a: a file without a picture track (it has audio), want a movie that has one, or pictures",
			"Not opened: sound.m4a", "A file without a picture track (it has audio), want a movie that has one, or pictures"},
	} {
		m.Report(desk.Problem{What: c.what, ToDo: c.todo, Err: errors.New(c.err)})
		assert.Equal(t, c.first, m.bands[look.Failed].What())
		assert.Equal(t, c.second, m.bands[look.Failed].ToDo())
	}
}
