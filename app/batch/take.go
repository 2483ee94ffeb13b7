package batch

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"halocline/app/scene/staging"
	"halocline/app/study"
)

// A take is frames of the demo scene in a folder of their own, with the study that
// a verb makes of them.
type take struct {
	*staging.Take
	folder string
	path   string // of the study
}

// makeTake makes a take and its study, which is not saved yet.
func makeTake(ctx context.Context, folder, name string, seed int, s size, count int) (take, error) {
	path := filepath.Join(folder, name+study.Ending)
	if err := checkFolder(folder, path); err != nil {
		return take{}, err
	}
	t, err := staging.Make(ctx, folder, seed, s.w, s.h, count)
	return take{t, folder, path}, err
}

// checkFolder returns an error unless a folder is new, empty, or one that a scene
// was written to before and whose study nobody has changed since: a scene
// replaces nobody's work.
func checkFolder(folder, path string) error {
	list, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist) || err == nil && len(list) == 0:
		return nil
	case err != nil:
		return fmt.Errorf("batch: %s cannot be looked at: %w", folder, err)
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("batch: %s has other files, want a new or empty folder", folder)
	}
	return checkStudy(path)
}

// checkStudy returns an error where a scene's study is there and somebody has changed
// it since it was written.
func checkStudy(path string) error {
	s, err := study.Load(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil || !untouched(s):
		return fmt.Errorf("batch: %s was changed since the scene was written there: choose another folder, or remove this one", path)
	}
	return nil
}

// A mark is what a scene's study carries to tell whether it was changed: a
// digest of all the rest of it.
type mark struct {
	Scene string `json:"scene"`
}

func sceneMark(s *study.Study) (m mark, err error) {
	bare := s.Clone()
	bare.Extra, bare.Clip.Path = "", "scene"
	h := sha256.New()
	err = study.Encode(h, bare)
	return mark{hex.EncodeToString(h.Sum(nil))}, err
}

// untouched reports whether a scene's study is as it was written.
func untouched(s *study.Study) bool {
	var has mark
	want, err := sceneMark(s)
	return err == nil && json.Unmarshal([]byte(s.Extra), &has) == nil && has == want
}

// save writes the study, unless somebody has changed it since the scene was begun.
func (t take) save(ctx context.Context) (err error) {
	m, err := sceneMark(t.Study)
	if err != nil {
		return err
	}
	text, err := json.Marshal(m)
	if err != nil {
		return err
	}
	t.Study.Extra = string(text)
	lock, err := study.Acquire(ctx, t.path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, lock.Release()) }()
	if err := checkStudy(t.path); err != nil {
		return err
	}
	return study.Save(t.path, t.Study)
}
