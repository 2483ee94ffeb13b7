package sheets

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/carry"
	"halocline/app/clip"
	"halocline/app/desk"
	"halocline/app/ui/look"
)

// A carrySheet makes studies of other clips from the one that is open.
type carrySheet struct {
	of      *Sheets
	desk    *desk.Desk
	sheet   *Sheet
	endings []string          // of names of pictures and movies
	open    func(path string) // opens a study

	clips        []*carryRow
	list         *fyne.Container
	folder       *look.Entry
	masks        *look.Check
	about, wrong *look.Label
	add, addDir  *look.Button
	start, leave *look.Button
	bar          *look.Meter
	stop         context.CancelFunc // of the work under way
	running      atomic.Bool
}

// A carryRow is one clip of the list.
type carryRow struct {
	path   string
	study  string // that was made; "" for none yet
	said   *look.Label
	more   *look.Label // which picks are stale
	open   *look.Button
	remove *look.Button
	all    *fyne.Container
}

// OpenCarry asks to which clips the study is to be carried. endings are those of pictures and movies;
// open opens one of the studies that were made.
func (s *Sheets) OpenCarry(endings []string, open func(path string)) { s.newCarry(endings, open) }

func (s *Sheets) newCarry(endings []string, open func(path string)) *carrySheet {
	k := &carrySheet{of: s, desk: s.desk, endings: endings, open: open, list: look.VBox(6)}
	k.add = look.NewButton("Add a clip…", k.addFile)
	k.add.SetHint("A movie, a picture, or a picture of a numbered sequence")
	k.addDir = look.NewButton("Add a folder…", func() { s.PickFolder(k.addFolder) })
	k.addDir.SetHint("All movies in a folder, or the numbered sequence in it")
	k.folder = look.NewEntry("beside each clip", "The folder of the studies; empty: each beside its clip", nil)
	k.masks = look.NewCheck("Masks too", "Each mask with its first outline, on the clip's first frame", func(bool) {})
	k.about = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	k.wrong = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Warn})
	k.bar = look.NewMeter(0, 1)
	k.bar.Hide()
	k.leave = look.NewButton("Cancel", k.end)
	k.start = look.NewButton("Carry", k.run)
	k.start.Kind = look.Prominent
	form := look.VBox(10, look.HBox(8, k.add, k.addDir, k.masks), formRow("Studies go", k.folder))
	foot := look.VBox(8, k.bar, k.wrong, Buttons(k.about, k.leave, k.start))
	k.sheet = s.Open("Carry to other clips", "Base, mattes, picks, edges and trials go along; dabs and proofs stay. What has keys is held at its last key's value.",
		container.NewBorder(form, nil, nil, nil, look.Pad(0, 12, 0, 0, container.NewVScroll(k.list))), fyne.NewSize(860, 520), foot, k.add)
	k.sheet.OnClosed(func() {
		if k.stop != nil {
			k.stop()
		}
	})
	k.display()
	return k
}

func (k *carrySheet) addFile() { k.of.PickFile(k.endings, k.addClip) }

// addFolder puts the movies of a folder on the list; one without movies is a clip itself.
func (k *carrySheet) addFolder(path string) {
	movies := moviesIn(path)
	for _, m := range movies {
		k.addClip(m)
	}
	if len(movies) == 0 {
		k.addClip(path)
	}
}

// moviesIn lists the files of a folder whose names end as movies' do.
func moviesIn(folder string) (paths []string) {
	files, _ := os.ReadDir(folder) // none of one that cannot be read: opening it says why
	for _, f := range files {
		if ending := strings.ToLower(filepath.Ext(f.Name())); slices.Contains(clip.MovieEndings(), ending) && !f.IsDir() {
			paths = append(paths, filepath.Join(folder, f.Name()))
		}
	}
	return paths
}

// addClip puts a clip on the list, unless it is there.
func (k *carrySheet) addClip(path string) {
	if k.running.Load() || slices.ContainsFunc(k.clips, func(r *carryRow) bool { return r.path == path }) {
		return
	}
	r := &carryRow{path: path}
	r.said = look.NewLabel(filepath.Base(path), look.Style{Size: look.BodySize, Colour: look.Text})
	r.more = look.NewLabel(filepath.Dir(path), look.Style{Size: look.SmallSize, Colour: look.Second})
	r.open = look.NewButton("Open", func() {
		k.sheet.Close()
		k.open(r.study)
	})
	r.open.Hide()
	r.remove = look.NewButton("Remove", func() {
		k.clips = slices.DeleteFunc(k.clips, func(o *carryRow) bool { return o == r })
		k.list.Remove(r.all)
		k.display()
	})
	acts := container.NewCenter(look.HBox(8, r.open, r.remove))
	r.all = look.Ground(look.Card, look.Pad(10, 4, 10, 4, container.NewBorder(nil, nil, nil, acts, look.VBox(0, r.said, r.more))))
	k.clips = append(k.clips, r)
	k.list.Add(r.all)
	k.display()
}

// waiting are the clips that have no study yet.
func (k *carrySheet) waiting() (all []*carryRow) {
	for _, r := range k.clips {
		if r.study == "" {
			all = append(all, r)
		}
	}
	return all
}

// display says what would be done.
func (k *carrySheet) display() {
	if k.running.Load() {
		return
	}
	n := len(k.waiting())
	if n == 0 {
		k.start.Disable()
		k.about.SetText("")
	} else {
		k.start.Enable()
		k.about.SetText(desk.Counted(n, "clip"))
	}
	k.of.host.TellPlaces()
}

// run makes the studies in the background; the window goes on meanwhile.
func (k *carrySheet) run() {
	rows := k.waiting()
	if len(rows) == 0 || !k.running.CompareAndSwap(false, true) {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	k.stop = cancel
	k.start.Disable()
	k.leave.SetLabel("Stop")
	k.wrong.SetText("")
	k.bar.Set(0, math.NaN())
	k.bar.Show()
	k.about.SetText("Looking at this clip")
	var paths []string
	for _, r := range rows {
		paths = append(paths, r.path)
		r.remove.Hide()
	}
	work, folder, options := k.desk.Carry(), strings.TrimSpace(k.folder.Now()), carry.Options{Masks: k.masks.On()}
	go func() {
		held, err := work(ctx, paths, folder, options, func(i int, r carry.Result, err error) {
			fyne.Do(func() {
				rows[i].tell(r, err)
				k.bar.Set(float64(i+1)/float64(len(rows)), math.NaN())
				k.about.SetText(fmt.Sprintf("%d of %d", i+1, len(rows)))
			})
		})
		fyne.Do(func() { k.finished(held, err) })
	}()
}

// tell says what became of a clip.
func (r *carryRow) tell(made carry.Result, err error) {
	if err != nil {
		r.said.SetText(filepath.Base(r.path) + ": " + desk.OneLine(err, lineLength))
		r.said.SetColour(look.Warn)
		return
	}
	r.study = made.Work.Path
	line, stale, _ := strings.Cut(made.Line(), "; ")
	r.said.SetText(line)
	r.more.SetText(desk.Capital(stale))
	r.more.SetColour(look.Second)
	if len(made.Stale()) > 0 {
		r.more.SetColour(look.Warn)
	}
	if len(made.Notices) > 0 {
		r.more.SetText(r.more.Text() + ". " + strings.Join(made.Notices, ". "))
	}
	r.open.Show()
	r.all.Refresh()
}

func (k *carrySheet) finished(held []string, err error) {
	k.running.Store(false)
	k.stop = nil
	k.bar.Hide()
	k.leave.SetLabel("Close")
	for _, r := range k.waiting() {
		r.remove.Show()
		r.all.Refresh()
	}
	k.display()
	done := len(k.clips) - len(k.waiting())
	k.of.host.Tell("carried %d", done)
	switch {
	case errors.Is(err, context.Canceled):
		k.wrong.SetText(fmt.Sprintf("Stopped; what was made before that stays: %d of %d.", done, len(k.clips)))
	case err != nil:
		k.wrong.SetText(desk.OneLine(err, lineLength))
	case len(held) > 0:
		words := held[0]
		if len(held) > 1 {
			words += fmt.Sprintf("; and %d more", len(held)-1)
		}
		k.wrong.SetText(desk.Capital(words))
	}
}

// end stops the work under way, or closes the sheet.
func (k *carrySheet) end() {
	if k.running.Load() {
		k.stop()
		return
	}
	k.sheet.Close()
}
