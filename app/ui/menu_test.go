package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"

	"halocline/app/desk"
	"halocline/app/ui/sheets"
	"halocline/app/ui/stage"
)

// newTestMenu is a menu of three actions, one of them with a plain key, over a window
// with nothing in it.
func newTestMenu(t *testing.T) (m *menu, ran *int, can *bool) {
	t.Helper()
	ran, can = new(int), new(bool)
	win := stage.NewApp(t).Bare(t)
	d := &desk.Desk{}
	m = newMenu(d, win.Canvas(), sheets.New(d, win, nil), []*action{
		{menu: "Study", label: openLabel, key: fyne.KeyO, mods: ctrl, run: func() {}},
		{menu: "Matte", label: "Keep dabs", key: fyne.KeyK, enabled: func() bool { return *can }, run: func() { *ran++ }, group: true},
		{menu: "Matte", label: "Remove all dabs", run: func() {}, group: true},
	})
	return m, ran, can
}

func TestAMenuNamesItsKeys(t *testing.T) {
	m, _, _ := newTestMenu(t)
	assert.Equal(t, "Ctrl+O", m.KeyOf(openLabel))
	assert.Equal(t, "Keep this (K)", m.WithKey("Keep this", "Keep dabs"))
	assert.Panics(t, func() { m.KeyOf("Remove all dabs") }, "it has no key")
	for _, part := range m.keys() {
		want := map[string][][2]string{"Study": {{"Ctrl+O", openLabel}}, "Matte": {{"K", "Keep dabs"}}}[part.Part]
		assert.Equal(t, want, part.Keys, part.Part)
	}
}

func TestAMenuHearsPlainKeys(t *testing.T) {
	m, ran, can := newTestMenu(t)
	var escaped int
	var others []fyne.KeyName
	m.escape, m.other = func() { escaped++ }, func(name fyne.KeyName, _ fyne.KeyModifier) { others = append(others, name) }
	press := func(name fyne.KeyName) { fyne.DoAndWait(func() { m.typed(&fyne.KeyEvent{Name: name}) }) }
	press(fyne.KeyK)
	assert.Zero(t, *ran, "it cannot be done now")
	*can = true
	press(fyne.KeyK)
	assert.Equal(t, 1, *ran)
	press(fyne.KeyO)
	press(fyne.KeyEscape)
	assert.Equal(t, []fyne.KeyName{fyne.KeyO}, others, "Ctrl+O is no plain key")
	assert.Equal(t, 1, escaped)
}

func TestAMenuShowsWhatCanBeDone(t *testing.T) {
	m, _, can := newTestMenu(t)
	item := m.items[m.actions[1]]
	fyne.DoAndWait(m.Display)
	assert.True(t, item.Disabled)
	*can = true
	fyne.DoAndWait(m.Display)
	assert.False(t, item.Disabled)
	matte := m.main.Items[3]
	assert.Equal(t, "Matte", matte.Label)
	assert.Len(t, matte.Items, 3, "a line between two groups")

	opened := fyne.NewMenuItem("a.png  (reef)", func() {})
	fyne.DoAndWait(func() { m.ShowRecent([]*fyne.MenuItem{opened}) })
	assert.Equal(t, []*fyne.MenuItem{opened}, m.main.Items[0].Items[1].ChildMenu.Items)
	assert.False(t, m.recent.Disabled)
	fyne.DoAndWait(func() { m.ShowRecent(nil) })
	assert.True(t, m.recent.Disabled)
}
