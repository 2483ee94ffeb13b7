package desk

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"halocline/app/study"
	"halocline/app/work"
)

// Unsaved reports whether something would be lost, which the dot in the window's title
// tells: a study that nobody has changed is no work.
func (d *Desk) Unsaved() bool { return d.Session != nil && d.Session.Unsaved() }

// StudyName is what the open study is called; "" while nothing is open.
func (d *Desk) StudyName() string {
	switch {
	case d.Session == nil:
		return ""
	case d.Session.Path() != "":
		return filepath.Base(d.Session.Path())
	case d.Sample:
		return "the sample"
	}
	if c := d.Clip(); c != nil && c.Count() > 1 && c.Info().Movie == nil {
		return d.Study().Clip.Name() // a sequence is not its first file
	}
	return filepath.Base(d.Study().Clip.Path)
}

// ForgetTruth judges the matte by no true matte any more.
func (d *Desk) ForgetTruth() { d.Set(func() { d.Truth, d.TrueOf = nil, 0 }) }

// autosaveEvery is how often unsaved work is kept: what a crash may cost.
const autosaveEvery = 10 * time.Second

// Folder is the program's own folder for what can be made again.
func Folder() string {
	base, err := os.UserCacheDir()
	if err != nil {
		base = os.TempDir()
	}
	return filepath.Join(base, "halocline")
}

// unsavedPath is where work on footage is kept that has no study file yet.
func unsavedPath(footage string) string {
	sum := sha256.Sum256([]byte(footage))
	return filepath.Join(Folder(), "unsaved", hex.EncodeToString(sum[:8])+".autosave")
}

// LeftBehind is unsaved work of an earlier run, or that another window keeps at this moment
// (InUse); nil where there is none. Where there is none that can be read, it is an error.
func LeftBehind(wk *work.Work) (*study.Recovery, error) {
	if wk.Path == "" {
		return study.RecoverFrom(unsavedPath(wk.Study.Clip.Path))
	}
	return study.Recover(wk.Path)
}

// Begin takes up a work with a session of it, whose unsaved edits are kept where a
// later run finds them. The session before it must have been left.
func (d *Desk) Begin(w *work.Work, s *study.Session) {
	var noFolder error
	if w.Path == "" {
		path := unsavedPath(w.Study.Clip.Path)
		if noFolder = os.MkdirAll(filepath.Dir(path), 0o700); noFolder == nil {
			s.AutosaveTo(path)
		}
	}
	d.Open(w, s)
	d.noFolder = noFolder
}

// Leave ends the session that is open, and what plays. What is unsaved is given up.
func (d *Desk) Leave() {
	d.EndPlay()
	d.LeaveSpareKeys()
	if d.stopSaves != nil {
		d.stopSaves()
		d.stopSaves = nil
	}
	if d.Session == nil {
		return
	}
	d.left = true
	go d.Work.Close() // frames that are on their way are no longer wanted
	if err := d.Session.Close(); err != nil {
		d.Report(Problem{What: "The unsaved work that was kept cannot be removed", Err: err})
	}
}

// KeepSaving keeps unsaved work every autosaveEvery, until Leave. Each edit calls it: a
// study that nobody has changed is no work. Where there is no folder to keep it in, it says
// so once; once the study has a file, its work is kept beside that.
func (d *Desk) KeepSaving() {
	if d.stopSaves != nil {
		return
	}
	if d.noFolder != nil {
		d.Report(notKept(fmt.Errorf("desk: its folder cannot be made, %w", d.noFolder)))
	}
	ctx, cancel := context.WithCancel(context.Background())
	d.stopSaves = cancel
	go d.Session.AutosaveEvery(ctx, autosaveEvery, func(err error) {
		d.Post(func() { d.Report(notKept(err)) })
	})
}

// notKept tells that unsaved work would be lost in a crash.
func notKept(err error) Problem {
	return Problem{"Unsaved work cannot be kept", "Save the study yourself, perhaps elsewhere.", err}
}

// KeepNow keeps unsaved work at once, and from then on. Where it cannot, it says so.
func (d *Desk) KeepNow() {
	if err := d.Session.Autosave(); err != nil {
		d.Report(notKept(err))
	}
	d.KeepSaving()
}

// SaveTo writes the study to a file, which is its own from then on. The sample's frame is
// copied beside it. Something must be open.
func (d *Desk) SaveTo(path string) error {
	if d.Sample {
		relink, err := d.Work.CopyFootage(context.Background(), path)
		if err != nil {
			return err
		}
		d.Edit("Copy the frame beside the study", func(s *study.Study, _ *study.Matte) error { return relink(s) })
	}
	if err := d.Session.SaveAs(path); err != nil {
		return err
	}
	d.Sample = false
	d.moveOutlines(path)
	return nil
}

// Save writes the study to its file. Where another program has changed that since,
// the error is a study.ErrChanged and nothing is written: KeepMine, TakeTheirs and
// SaveTo are the ways on. Where another process is changing it at this moment, it is a
// study.ErrLocked. Something must be open.
func (d *Desk) Save() error { return d.Session.Save() }

// KeepMine writes the study to its file, in place of what another program has written
// there. Something must be open.
func (d *Desk) KeepMine() error { return d.Session.SaveOver() }

// TakeTheirs makes the study that its file holds now the one that is worked on, as one
// edit that can be undone. A file that was made of other footage, or that reads it in
// another way, is an error: it must be opened anew. Something must be open.
func (d *Desk) TakeTheirs() error {
	if d.drag != nil {
		d.endDrag(true)
	}
	err := d.Session.TakeFile("Take what the file has", func(theirs *study.Study) error {
		mine := d.Study().Clip
		other := theirs.Clip
		other.ID, other.Rate, other.Noise = mine.ID, mine.Rate, mine.Noise // these are the study's, not the footage's
		if other != mine {
			return fmt.Errorf("desk: not taken, for it is of other footage, or reads it in another way; open it anew: %s", d.Session.Path())
		}
		return nil
	})
	if err == nil {
		d.KeepSaving()
	}
	d.Settle()
	d.Refresh()
	return err
}
