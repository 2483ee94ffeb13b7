package sheets

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"sync/atomic"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/clip"
	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/export"
	"halocline/app/study"
	"halocline/app/ui/look"
)

// An exportSheet writes mattes as PNG files.
type exportSheet struct {
	of      *Sheets
	desk    *desk.Desk
	sheet   *Sheet
	mattes  map[int]bool
	kind    int
	depth   int
	replace bool
	movie   bool
	frames  int // which: see frameChoices

	folder, pattern *look.Entry
	these           *look.Entry // numbers of frames
	example, wrong  *look.Label
	about           *look.Label
	asked           *look.Label // what is to be decided before anything is replaced
	question        fyne.CanvasObject
	start, cancel   *look.Button
	bar             *look.Meter
	showFolder      *look.Button
	stop            context.CancelFunc // of the export under way
	running         atomic.Bool
}

// exportKinds are what a matte can be written as.
var exportKinds = []struct {
	kind  export.Kind
	label string
	about string
}{
	{export.Matte, "Matte", "grey PNG"},
	{export.Pick, "Pick alone", "grey PNG, without masks and edge"},
	{export.Mask, "Masks alone", "grey PNG"},
	{export.Cutout, "Cut-out with alpha", "colour PNG with alpha"},
	{export.Hatch, "Hatch", "colour PNG, to look at"},
	{export.Reasons, "Reasons", "colour PNG, to look at"},
	{export.Base, "Frame after Base", "colour PNG, the same for all mattes"},
	{export.Trial, "Frame with trials", "colour PNG, graded through all mattes"},
}

// OpenExport asks which mattes are to be written, and how.
func (s *Sheets) OpenExport() {
	d := s.desk
	e := &exportSheet{of: s, desk: d, mattes: map[int]bool{d.MatteID: !d.Matte().NotExported}, depth: 16}
	info := d.Work.Clip.Info()
	form := look.VBox(12, formRow("Mattes", e.matteChoices()), formRow("As", e.kindChoices()))
	if d.Several() {
		form.Add(formRow("Frames", e.frameChoices()))
	}
	for _, row := range []fyne.CanvasObject{
		formRow("Folder", e.folderField()), formRow("File names", e.patternField()),
		formRow("If it exists", e.existsChoices()),
		formRow("Beside it", e.besideChoices()),
	} {
		form.Add(row)
	}
	e.about = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	e.wrong = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Warn})
	e.bar = look.NewMeter(0, 1)
	e.bar.Hide()
	e.cancel = look.NewButton("Cancel", e.end)
	e.start = look.NewButton("Export", e.run)
	e.start.Kind = look.Prominent
	e.showFolder = look.NewButton("Show folder", e.openFolder)
	e.showFolder.Hide()
	foot := look.VBox(8, e.askRow(), e.bar, e.wrong, Buttons(e.about, e.showFolder, e.cancel, e.start))
	e.sheet = s.Open("Export mattes", fmt.Sprintf("Full size, %d × %d, from the frames themselves; the window's zoom and view do not matter.", info.Width, info.Height),
		form, fyne.NewSize(760, 560), foot, e.folder.Focusable())
	e.sheet.OnTyped(func(k fyne.KeyName) bool {
		if k == fyne.KeyReturn || k == fyne.KeyEnter {
			e.run()
			return true
		}
		return false
	})
	e.sheet.OnClosed(func() {
		if e.stop != nil {
			e.stop()
		}
	})
	e.display()
}

func (e *exportSheet) matteChoices() fyne.CanvasObject {
	row := look.HBox(8)
	for _, m := range e.desk.Study().Mattes {
		check := look.NewCheck("", "Write this matte", func(on bool) {
			e.mattes[m.ID] = on
			e.display()
		})
		check.Set(e.mattes[m.ID])
		text := look.VBox(0,
			look.NewFixedLabel(64, m.Name, look.Style{Size: look.BodySize, Colour: look.Text}),
			look.NewFixedLabel(70, underName(&m, e.desk.Found.Thumbs[m.ID]), look.Style{Size: look.AxisSize, Colour: look.Second}))
		content := look.HBox(8, container.NewCenter(check))
		if t := e.desk.Found.Thumbs[m.ID]; t.Small != nil {
			picture := canvas.NewImageFromImage(t.Small)
			picture.ScaleMode = canvas.ImageScaleFastest
			content.Add(container.NewCenter(look.Fixed(80, 45, picture)))
		}
		content.Add(container.NewCenter(text))
		row.Add(look.Ground(look.Card, look.Pad(8, 4, 8, 4, content)))
	}
	scroll := container.NewHScroll(look.Pad(0, 0, 0, 8, row))
	return scroll
}

// underName is what stands under a matte's name: why it is not to be written at first, or
// how much of the frame it holds.
func underName(m *study.Matte, t watch.Thumb) string {
	switch {
	case m.NotExported:
		return "not exported"
	case t.Small == nil:
		return ""
	}
	return t.AreaWords()
}

func (e *exportSheet) kindChoices() fyne.CanvasObject {
	var names []string
	for _, k := range exportKinds {
		names = append(names, k.label)
	}
	kinds := look.NewSelect(names, "What each picture shows", func(i int) {
		e.kind = i
		e.display()
	})
	depth := look.NewSegments([]string{"8 bit", "16 bit"}, func(i int) {
		e.depth = 8 * (i + 1)
		e.display()
	})
	depth.Set(1)
	return look.HBox(16, look.Fixed(180, 28, kinds), depth)
}

// Which frames are written.
const (
	thisFrame = iota
	allFrames
	theseFrames
)

// frameChoices are which frames of a sequence are written.
func (e *exportSheet) frameChoices() fyne.CanvasObject {
	e.frames = allFrames
	e.these = look.NewEntry("1-24, 37", "Numbers of frames, as the source has them", nil)
	e.these.SetWidth(140)
	which := look.NewRadio([]string{"This one", fmt.Sprintf("All %d", len(e.desk.Frames())), "These"}, "Which frames to write", func(i int) {
		e.frames = i
		e.display()
	})
	which.Set(allFrames)
	e.these.OnSubmitted(e.run)
	e.these.Typed(func(string) {
		e.frames = theseFrames
		which.Set(theseFrames)
		e.display()
	})
	if e.desk.PartOnly() {
		e.frames = theseFrames
		which.Set(theseFrames)
		e.these.Set(clip.SpansText(e.desk.PartSpans()))
	}
	return look.HBox(8, which, e.these)
}

// chosenFrames are the frames to write, or what is wrong with what was typed.
func (e *exportSheet) chosenFrames() ([]int, error) {
	switch {
	case !e.desk.Several() || e.frames == thisFrame:
		return []int{e.desk.Frame}, nil
	case e.frames == allFrames:
		return e.desk.Frames(), nil
	}
	spans, err := clip.ParseSpans(e.these.Now())
	if err != nil {
		return nil, err
	}
	frames, missing := e.desk.Work.Clip.Select(spans)
	if len(missing) > 0 {
		return nil, fmt.Errorf("there is no frame %s", clip.SpansText(missing))
	}
	return frames, nil
}

func (e *exportSheet) folderField() fyne.CanvasObject {
	dir, _ := SuggestedPlace(e.desk)
	e.folder = look.NewEntry("folder", "Where the files go", nil)
	e.folder.Set(filepath.Join(dir, "mattes"))
	e.folder.Typed(func(string) { e.display() })
	e.folder.OnSubmitted(e.run)
	choose := look.NewButton("Choose…", func() { e.of.PickFolder(e.setFolder) })
	return container.NewBorder(nil, nil, nil, look.Pad(8, 0, 0, 0, choose), e.folder)
}

func (e *exportSheet) setFolder(path string) {
	e.folder.Set(path)
	e.display()
}

func (e *exportSheet) patternField() fyne.CanvasObject {
	e.pattern = look.NewEntry("pattern", "Names of the files; fields in braces are filled in", nil)
	e.pattern.Set(export.DefaultPattern)
	e.pattern.Typed(func(string) { e.display() })
	e.pattern.OnSubmitted(e.run)
	fields := []string{"{matte}", "{clip}", "{frame}", "{frame:6}", "{version}"}
	insert := look.NewSelect(fields, "Put a field at the end", func(i int) {
		e.pattern.Set(e.pattern.Now() + fields[i])
		e.display()
	})
	e.example = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Text})
	return look.VBox(4,
		container.NewBorder(nil, nil, nil, look.Pad(8, 0, 0, 0, look.Fixed(96, 28, insert)), e.pattern), e.example)
}

func (e *exportSheet) existsChoices() fyne.CanvasObject {
	return look.NewRadio([]string{"Ask first", "Replace"}, "What to do where a file of that name is already there with other content", func(i int) {
		e.replace = i == 1
		e.display()
	})
}

// besideChoices tell what lies beside the files.
func (e *exportSheet) besideChoices() fyne.CanvasObject {
	always := look.NewTightLabel("a manifest with a checksum for each file; of mattes also a text that says what they are", look.Style{Size: look.BodySize, Colour: look.Text})
	if !e.desk.Several() {
		return always
	}
	movie := look.NewCheck("a movie of each", "FFV1 of 16 bits in Matroska, made by the program ffmpeg", func(on bool) {
		e.movie = on
		e.display()
	})
	return look.HBox(16, movie, always)
}

// chosen are the mattes to write, in their order.
func (e *exportSheet) chosen(s *study.Study) (out []*study.Matte) {
	for i := range s.Mattes {
		if e.mattes[s.Mattes[i].ID] {
			out = append(out, &s.Mattes[i])
		}
	}
	return out
}

// exportMemory is what the frames that an export makes at once may take beside what
// the window itself keeps: two of 1080p, one of 4K.
const exportMemory = 576 << 20

// job is the export that is asked for, or what is wrong with it.
func (e *exportSheet) job(s *study.Study) (export.Job, error) {
	pattern, err := export.ParsePattern(e.pattern.Now())
	frames, wrongFrames := e.chosenFrames()
	if err == nil {
		err = wrongFrames
	}
	j := export.Job{
		Study: s, Renderer: e.desk.Work.Renderer, Mattes: e.chosen(s), Frames: frames,
		Kind: exportKinds[e.kind].kind, Depth: e.depth, Pattern: pattern, Folder: strings.TrimSpace(e.folder.Now()), Overwrite: e.replace,
		Sheets: true, Movie: e.movie, Memory: exportMemory,
	}
	switch {
	case err != nil:
	case !j.Kind.PerMatte():
		j.Mattes = nil
	case len(j.Mattes) == 0:
		err = errors.New("choose a matte to export")
	case j.Folder == "":
		err = errors.New("a folder is wanted")
	}
	return j, err
}

// display shows what would be written.
func (e *exportSheet) display() {
	if e.sheet == nil || e.running.Load() {
		return
	}
	s := e.desk.Study()
	info := e.desk.Work.Clip.Info()
	var frames, beside []string
	var most int64
	job, err := e.job(s)
	if err == nil {
		frames, beside, err = job.Names()
	}
	if err == nil {
		most, err = job.MostBytes(info.Width * info.Height)
	}
	e.question.Hide()
	if err != nil {
		e.wrong.SetText(desk.OneLine(err, lineLength))
		e.example.SetText("")
		e.start.Disable()
	} else {
		e.wrong.SetText("")
		e.example.SetText("makes " + shortened(frames, beside))
		e.start.Enable()
	}
	text := fmt.Sprintf("%s, at most %s", desk.Counted(len(frames)+len(beside), "file"), bytesText(most))
	if free, ok := freeBytes(e.folder.Now()); ok {
		text += "; " + bytesText(free) + " free"
	}
	e.about.SetText(text + "; " + exportKinds[e.kind].about)
}

// shortened names the files of frames, of many the first and the last, and how many lie beside them.
func shortened(frames, beside []string) string {
	if len(frames)+len(beside) <= 3 {
		return strings.Join(append(frames, beside...), ", ")
	}
	text := frames[0]
	if len(frames) > 1 {
		text += " to " + frames[len(frames)-1]
	}
	if len(beside) > 0 {
		text += " and " + desk.Counted(len(beside), "file") + " beside"
	}
	return text
}

func bytesText(n int64) string {
	switch {
	case n >= 1<<30:
		return fmt.Sprintf("%.1f GB", float64(n)/(1<<30))
	case n >= 1<<20:
		return fmt.Sprintf("%.1f MB", float64(n)/(1<<20))
	}
	return fmt.Sprintf("%.0f kB", float64(n)/(1<<10))
}
