package files

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/work"
)

const (
	recentKey  = "recent"
	recentMost = 8
)

// recent are the files that were opened last, the newest first.
type recent struct {
	kept fyne.Preferences
	menu Menu
	open func(path string)
}

// remember adds the file of a work: its study's, else its footage's.
func (r *recent) remember(wk *work.Work) {
	path := wk.Path
	if path == "" {
		path = wk.Study.Clip.Path
	}
	if strings.HasPrefix(path, desk.Folder()) {
		return // the sample, as it was unpacked
	}
	r.add(path)
}

func (r *recent) add(path string) {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	list := r.kept.StringList(recentKey)
	list = slices.Insert(slices.DeleteFunc(list, func(p string) bool { return p == path }), 0, path)
	r.kept.SetStringList(recentKey, list[:min(len(list), recentMost)])
	r.show()
}

// show fills the menu of recent files.
func (r *recent) show() {
	var items []*fyne.MenuItem
	for _, path := range r.kept.StringList(recentKey) {
		name := fmt.Sprintf("%s  (%s)", filepath.Base(path), filepath.Base(filepath.Dir(path)))
		items = append(items, fyne.NewMenuItem(name, func() { r.open(path) }))
	}
	r.menu.ShowRecent(items)
}
