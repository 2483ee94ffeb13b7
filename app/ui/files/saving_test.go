package files

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/desk"
	"halocline/app/study"
)

// Work that was never saved is named after its picture, which nobody should think is written.
func TestWhatIsAskedBeforeWorkIsLeft(t *testing.T) {
	d := desk.NewDesk(desk.Listener{})
	defer d.Stop()
	ask := func(path string) [2]string {
		s := new(study.Study)
		s.Clip.Path = "/dive/d_r_195_.jpg"
		d.Session = study.NewSession(s, path)
		title, about := questionOf(d)
		return [2]string{title, about}
	}
	assert.Equal(t, [2]string{
		"Save the work on d_r_195_.jpg as a study?",
		"It is in no file yet. A study is a file of its own: the picture stays as it is.",
	}, ask(""))
	assert.Equal(t, [2]string{
		"Save the work on skin.halocline?", "It has changes that are not in its file.",
	}, ask("/dive/skin.halocline"))
}
