package ui

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/clip"
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

// A damaged frame is called that, by its file's name.
func TestADamagedFrameIsCalledDamaged(t *testing.T) {
	m := newMessages(nil, func(desk.Problem) {}, func() {})
	m.cannotShow(&clip.Error{Path: "/films/shot.0010.png", Found: "the file ends after 3000 bytes, inside the picture", Want: "the whole file", Kind: clip.ErrDamaged})
	assert.Equal(t, "The frame cannot be shown: shot.0010.png is damaged", m.shown().What())
	assert.Equal(t, "The file ends after 3000 bytes, inside the picture, want the whole file", m.shown().ToDo())
	m.canShow()
	assert.False(t, m.Showing())
	m.cannotShow(errors.New("/films/a.png: it is gone"))
	assert.Equal(t, "The frame cannot be shown: /films/a.png: it is gone", m.shown().What())
}
