package study

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"

	"halocline/app/regular"
)

// Clip is the study's footage.
type Clip struct {
	ID    int
	Path  string     // the file, or the first of a numbered sequence; absolute in memory, see Resolve
	First int        // the first frame's number in the source
	Count int        // frames that exist; gaps keep their numbers, so the last number may be larger
	Rate  [2]int     // frames per second as a fraction; 0/0 for a still
	Noise [3]float64 // standard deviation of the noise in R, G, B of [0,1]; zeros: not measured
	// Matrix and Range say how a movie's codes are read where its tags are wrong:
	// one of colour.LumaNames and of colour.RangeNames; "" is what the tags say.
	Matrix, Range string
	Footage
}

// brief says size and fingerprint, the latter shortened to what an eye compares.
func (f Footage) brief() string {
	sum := f.SHA256
	if len(sum) > 12 {
		sum = sum[:12]
	}
	return fmt.Sprintf("%d bytes, sha256 %s", f.Size, sum)
}

// Resolve returns the footage's absolute path for a study file at studyPath.
func (c Clip) Resolve(studyPath string) string {
	path := filepath.FromSlash(c.Path)
	if filepath.IsAbs(path) || path == "" {
		return path
	}
	folder, err := filepath.Abs(filepath.Dir(studyPath))
	if err != nil { // no working folder: the best there is
		folder = filepath.Dir(studyPath)
	}
	return filepath.Join(folder, path)
}

// relativePath returns the footage's path as a study file at studyPath holds
// it: from its folder, with forward slashes. Across drives it stays absolute.
func (c Clip) relativePath(studyPath string) string {
	folder, err := filepath.Abs(filepath.Dir(studyPath))
	if err != nil || !filepath.IsAbs(filepath.FromSlash(c.Path)) {
		return c.Path
	}
	rel, err := filepath.Rel(folder, filepath.FromSlash(c.Path))
	if err != nil {
		return c.Path
	}
	return filepath.ToSlash(rel)
}

// A FootageError says that a study's footage is missing, or is not what the
// study was made from.
type FootageError struct {
	Path  string
	Want  Footage
	Found Footage // zero where the file cannot be read
	Err   error   // why the file cannot be read; wraps fs.ErrNotExist where it is missing
}

func (e *FootageError) Error() string {
	switch {
	case errors.Is(e.Err, fs.ErrNotExist):
		return fmt.Sprintf("study: footage is missing, want a file of %s: %s", e.Want.brief(), e.Path)
	case e.Err != nil:
		return fmt.Sprintf("study: footage cannot be read (%v), want a file of %s: %s", cause(e.Err), e.Want.brief(), e.Path)
	}
	return fmt.Sprintf("study: footage has changed: found %s, want %s: %s", e.Found.brief(), e.Want.brief(), e.Path)
}

func (e *FootageError) Unwrap() error { return e.Err }

// CheckFootage compares the clip's file, of a sequence the first, with what the
// study knows of it. It
// returns a *FootageError where the file is missing, unreadable or different,
// and ctx's error where that ended first. A file of another size is not read.
func (c Clip) CheckFootage(ctx context.Context) error {
	found, err := c.look(ctx)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return &FootageError{Path: c.Path, Want: c.Footage, Err: err}
	case c.SHA256 != "" && found != c.Footage:
		return &FootageError{Path: c.Path, Want: c.Footage, Found: found}
	}
	return nil
}

func (c Clip) look(ctx context.Context) (Footage, error) {
	info, err := regular.Stat(c.Path)
	var other *regular.Error
	switch {
	case errors.As(err, &other):
		return Footage{}, fmt.Errorf("it is %s", other.Is)
	case err != nil:
		return Footage{}, err
	case info.Size() != c.Size || c.SHA256 == "":
		return Footage{Size: info.Size(), SHA256: "not read"}, nil
	}
	return Measure(ctx, c.Path)
}

// Name is the clip's name without folder, ending and frame number. Digits at
// its end that are not its first frame's number (a date, a movie's serial
// number) are part of the name.
func (c Clip) Name() string {
	name := filepath.Base(c.Path)
	name = strings.TrimSuffix(name, filepath.Ext(name))
	short := strings.TrimRight(name, "0123456789")
	if n, err := strconv.Atoi(name[len(short):]); err != nil || n != c.First {
		return name
	}
	short = strings.TrimRight(short, " ._-")
	if short == "" { // numbers only: the folder names the clip
		if folder := filepath.Base(filepath.Dir(c.Path)); folder != "." && folder != string(filepath.Separator) {
			return folder
		}
		return name
	}
	return short
}
