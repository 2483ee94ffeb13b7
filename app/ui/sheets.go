package ui

import (
	"fmt"
	"image/color"
	"os"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"halocline/app/desk"
	"halocline/app/export"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// saveAs asks for a folder and a name, and saves there.
func (w *window) saveAs(then func()) {
	dir, name := w.suggestedPlace()
	w.askPlace(placeQuestion{
		title: "Save the study", about: "One file; the picture stays where it is.", label: "Save",
		dir: dir, name: name, kind: "study", own: w.desk.Session.Path(), endings: []string{study.Ending},
		take: w.saveTo, done: func() { w.saved(then) },
	})
}

// suggestedPlace is where a study would be saved: beside its picture.
func (w *window) suggestedPlace() (dir, name string) {
	path := w.desk.Session.Path()
	if path == "" {
		clip := w.desk.Study().Clip
		path = filepath.Join(filepath.Dir(clip.Path), export.ClipName(clip)+study.Ending)
	}
	if w.desk.Sample {
		if home, err := os.UserHomeDir(); err == nil {
			return home, "sample" + study.Ending
		}
	}
	return filepath.Dir(path), filepath.Base(path)
}

// formRow is a name and what is to be filled in.
func formRow(name string, field fyne.CanvasObject) fyne.CanvasObject {
	return container.NewBorder(nil, nil, look.NewFixedLabel(112, name, look.Style{Size: look.BodySize, Colour: look.Text}), nil, field)
}

// openHistory lists the edits that were made, to go back to any of them.
func (w *window) openHistory() {
	var s *sheet
	list := look.VBox(0)
	add := func(text string, c color.Color, move func()) {
		line := newPressable(look.Pad(8, 2, 8, 2, look.NewLabel(text, look.Style{Size: look.BodySize, Colour: c})), fyne.NewSize(0, 26), "Go there", func() {
			s.close()
			move()
		})
		list.Add(line)
	}
	redo := w.desk.Session.RedoLabels()
	for i := len(redo) - 1; i >= 0; i-- {
		add("again: "+redo[i], look.Third, func() { w.travel(func() { repeat(i+1, w.desk.Redo) }) })
	}
	add("now", look.AccentText, func() {})
	for i, label := range w.desk.Session.UndoLabels() {
		add("before: "+label, look.Text, func() { w.travel(func() { repeat(i+1, w.desk.Undo) }) })
	}
	done := look.NewButton("Close", func() { s.close() })
	s = w.openSheet("Edits made", "The newest first. Press one to go back to before it.", container.NewVScroll(list), fyne.NewSize(520, 520), buttons(nil, done), done)
}

func repeat(n int, f func()) {
	for range n {
		f()
	}
}

// openKeys lists every action with its key.
func (w *window) openKeys() {
	columns := container.New(layout.NewGridLayout(3))
	var lines []fyne.CanvasObject
	title := func(t string) fyne.CanvasObject {
		return look.Pad(0, 8, 0, 2, look.NewLabel(t, look.Style{Size: look.BodySize, Colour: look.AccentText, Bold: true}))
	}
	line := func(key, what string) fyne.CanvasObject {
		return look.Fixed(320, 19, container.NewBorder(nil, nil,
			look.NewFixedLabel(132, key, look.Style{Size: look.SmallSize, Colour: look.White}), nil,
			look.NewLabel(what, look.Style{Size: look.SmallSize, Colour: look.Second})))
	}
	for _, menu := range menuNames {
		lines = append(lines, title(menu))
		for _, a := range w.actions {
			if a.menu == menu && a.key != "" {
				lines = append(lines, line(a.keyText(), a.label))
			}
		}
	}
	lines = append(lines, title("On the frame"))
	for _, k := range frameKeys {
		lines = append(lines, line(k[0], k[1]))
	}
	each := (len(lines) + 2) / 3
	for i := 0; i < len(lines); i += each {
		columns.Add(look.VBox(0, lines[i:min(i+each, len(lines))]...))
	}
	var s *sheet
	done := look.NewButton("Close", func() { s.close() })
	s = w.openSheet("Keys", "Tab goes round the window. What has no key is in the menus.", container.NewVScroll(columns), fyne.NewSize(1120, 700), buttons(nil, done), done)
}

// frameKeys are the keys of what is on the frame, which the menus do not know.
var frameKeys = [][2]string{
	{"arrows", "move cursor or vertex"},
	{"Shift+arrows", "by ten"},
	{"Enter", "dab or sample at the cursor"},
	{"Shift+Enter", "a dab of the other kind"},
	{"Tab", "to the next vertex"},
	{"Delete", "the vertex, or the dab there"},
	{"Esc", "gives up the drag"},
	{"wheel", "zoom; a pressed dab's size"},
	{"middle drag", "pan"},
	{"double-click", "new vertex; neutral value"},
	{"Left, Right", "on the time area: a frame; Shift: ten"},
	{"Ctrl+Left, Right", "there: moves the key; Shift: copies"},
	{"half-moon", "a value's key; right or Down: more"},
	{keyName(bypassKey) + ", held", "without the trial"},
}

// openDetails says all that is known about a problem.
func (w *window) openDetails(p desk.Problem) {
	text := widget.NewLabel(plain(p.Err))
	text.Wrapping = fyne.TextWrapWord
	var s *sheet
	done := look.NewButton("Close", func() { s.close() })
	s = w.openSheet(p.What, p.ToDo, container.NewVScroll(text), fyne.NewSize(620, 300), buttons(nil, done), done)
}

func (w *window) openAbout() {
	text := widget.NewLabel("For isolating parts of a picture: soft ranges of colour, feathered masks, and the reason why any pixel is in or out.\n\n" +
		"A halocline is the soft border between two waters.\n\nColour: IEC 61966-2-1, CSS Color 4 and CIE 15. Water: Jerlov 1976.")
	text.Wrapping = fyne.TextWrapWord
	var s *sheet
	done := look.NewButton("Close", func() { s.close() })
	s = w.openSheet(Title, fmt.Sprintf("study format %d", study.Version), text, fyne.NewSize(520, 330), buttons(nil, done), done)
}
