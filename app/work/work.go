package work

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

// A Work is a study at hand with its footage.
type Work struct {
	Study *study.Study
	Path  string // the study's file; "" where it has none yet
	Clip  *clip.Clip
	// Renderer makes the clip's pictures; decoded frames are kept by it.
	Renderer *render.Renderer
	// Notices say what of the footage could not be taken as it stands, in words
	// for the user.
	Notices []string
}

// IsStudy reports whether a path's name ends as study files do, without regard
// to case.
func IsStudy(path string) bool { return strings.EqualFold(filepath.Ext(path), study.Ending) }

// Open opens a study, or footage, for which it makes a new study: the name's
// ending tells.
func Open(ctx context.Context, path string) (*Work, error) {
	if IsStudy(path) {
		return OpenStudy(ctx, path)
	}
	return OpenPicture(ctx, path)
}

// OpenStudy opens a study file and its footage. Footage that is missing or has
// changed is a *study.FootageError.
func OpenStudy(ctx context.Context, path string) (*Work, error) {
	s, err := study.Load(path)
	if err != nil {
		return nil, err
	}
	return FromStudy(ctx, s, path)
}

// FromStudy opens the footage of a study that is in memory: recovered work, or
// one whose footage has been found elsewhere. path is the study's file, "" for
// none. Footage that is missing or has changed is a *study.FootageError; one that
// lacks frames of the study is an error too.
func FromStudy(ctx context.Context, s *study.Study, path string) (*Work, error) {
	if err := s.Clip.CheckFootage(ctx); err != nil {
		return nil, err
	}
	footage, err := clip.Open(s.Clip.Path)
	if err != nil {
		return nil, err
	}
	if footage.First() != s.Clip.First || footage.Count() < s.Clip.Count {
		return nil, fmt.Errorf("work: footage %s has %s, want %s as in the study", s.Clip.Path,
			frames(footage.First(), footage.Count()), frames(s.Clip.First, s.Clip.Count))
	}
	return join(s, path, footage), nil
}

// OpenPicture opens footage and makes a new study of it: fingerprint and noise
// measured, all else neutral. The study has no file yet.
func OpenPicture(ctx context.Context, path string) (*Work, error) {
	footage, err := clip.Open(path)
	if err != nil {
		return nil, err
	}
	s, err := newStudy(ctx, footage)
	if err != nil {
		return nil, err
	}
	return join(s, "", footage), nil
}

func join(s *study.Study, path string, footage *clip.Clip) *Work {
	w := &Work{Study: s, Path: path, Clip: footage, Renderer: render.New(footage, 0, render.DefaultCache)}
	for _, n := range footage.Info().Notices {
		w.Notices = append(w.Notices, fmt.Sprintf("%s: %s", filepath.Base(footage.Path()), n))
	}
	return w
}

func newStudy(ctx context.Context, footage *clip.Clip) (*study.Study, error) {
	path, err := filepath.Abs(footage.Path())
	if err != nil {
		return nil, fmt.Errorf("work: %s: %w", footage.Path(), err)
	}
	print, err := study.Measure(ctx, path)
	if err != nil {
		return nil, fmt.Errorf("work: %s cannot be measured: %w", footage.Path(), err)
	}
	first, err := footage.Frame(ctx, footage.First())
	if err != nil {
		return nil, err
	}
	return study.New(study.Clip{
		Path: path, First: footage.First(), Count: footage.Count(), Noise: Readable(colour.Noise(first)),
		Footage: print,
	}), nil
}

// Readable rounds measured numbers to six decimals, a hundredth of a 16-bit
// code: what a person can read in a study, and the same in every build.
func Readable(v [3]float64) [3]float64 {
	for i := range v {
		v[i] = math.Round(v[i]*1e6) / 1e6
	}
	return v
}

func frames(first, count int) string {
	if count == 1 {
		return fmt.Sprintf("one frame, %d", first)
	}
	return fmt.Sprintf("%d frames from %d", count, first)
}
