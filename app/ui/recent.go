package ui

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

func (w *window) remember(wk *work.Work) {
	path := wk.Path
	if path == "" {
		path = wk.Study.Clip.Path
	}
	if strings.HasPrefix(path, desk.Folder()) {
		return // the sample, as it was unpacked
	}
	w.addRecent(path)
}

func (w *window) addRecent(path string) {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	list := w.app.Preferences().StringList(recentKey)
	list = slices.Insert(slices.DeleteFunc(list, func(p string) bool { return p == path }), 0, path)
	w.app.Preferences().SetStringList(recentKey, list[:min(len(list), recentMost)])
	w.showRecent()
}

// showRecent fills the menu of recent files.
func (w *window) showRecent() {
	w.recent.ChildMenu.Items = nil
	for _, path := range w.app.Preferences().StringList(recentKey) {
		name := fmt.Sprintf("%s  (%s)", filepath.Base(path), filepath.Base(filepath.Dir(path)))
		w.recent.ChildMenu.Items = append(w.recent.ChildMenu.Items, fyne.NewMenuItem(name, func() { w.askToOpen(path) }))
	}
	w.recent.Disabled = len(w.recent.ChildMenu.Items) == 0
	w.menus.Refresh()
}
