package files

import (
	"fmt"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/app/work"
)

// shelf keeps the items it is shown.
type shelf struct{ items []*fyne.MenuItem }

func (s *shelf) ShowRecent(items []*fyne.MenuItem) { s.items = items }

func (s *shelf) labels() (all []string) {
	for _, i := range s.items {
		all = append(all, i.Label)
	}
	return all
}

func TestTheNewestFilesAreRemembered(t *testing.T) {
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	s, opened := &shelf{}, ""
	r := &recent{kept: stage.NewApp(t).Preferences(), menu: s, open: func(path string) { opened = path }}
	for i := range recentMost + 2 {
		r.add(fmt.Sprintf("/reef/%d.png", i))
	}
	require.Len(t, s.items, recentMost)
	next := &shelf{}
	(&recent{kept: r.kept, menu: next}).show()
	assert.Equal(t, s.labels(), next.labels(), "another run has them")
	assert.Equal(t, "9.png  (reef)", s.items[0].Label)
	assert.Equal(t, "2.png  (reef)", s.items[recentMost-1].Label)

	r.add("/reef/5.png")
	assert.Len(t, s.items, recentMost, "none stands there twice")
	assert.Equal(t, []string{"5.png  (reef)", "9.png  (reef)"}, s.labels()[:2])
	s.items[1].Action()
	assert.Equal(t, "/reef/9.png", opened)

	wk := &work.Work{Study: &study.Study{}}
	wk.Study.Clip.Path = filepath.Join(desk.Folder(), "sample", "frame.png")
	r.remember(wk)
	assert.Equal(t, "5.png  (reef)", s.items[0].Label, "the sample is not among them")
	wk.Study.Clip.Path = "/dive/a.png"
	r.remember(wk)
	assert.Equal(t, "a.png  (dive)", s.items[0].Label, "footage without a study")
	wk.Path = "/dive/a" + study.Ending
	r.remember(wk)
	assert.Equal(t, "a"+study.Ending+"  (dive)", s.items[0].Label)
}
