package work

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
)

// A Work is a study at hand with its footage.
type Work struct {
	Study *study.Study
	Path  string          // the study's file as it was opened; "" for none. A session knows where it is by now
	File  study.FileState // of that file when it was read; zero where it was not read here
	Clip  *clip.Clip
	// Renderer makes the clip's pictures; decoded frames are kept by it.
	Renderer *render.Renderer
	// Notices say what of the footage could not be taken as it stands, in words
	// for the user.
	Notices []string
	// Unknown says in a sentence which fields of the study's file this version does
	// not know; "" for none. They are kept.
	Unknown string
}

// IsStudy reports whether a path's name ends as study files do, without regard
// to case.
func IsStudy(path string) bool { return strings.EqualFold(filepath.Ext(path), study.Ending) }

// Open opens a study, or footage, for which it makes a new study: the name's
// ending tells. A picture is one still, a folder the numbered sequence in it;
// OpenSequence opens the one that a picture belongs to. A movie is opened as
// OpenMovie does without options.
func Open(ctx context.Context, path string) (*Work, error) {
	if IsStudy(path) {
		return OpenStudy(ctx, path)
	}
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return OpenSequence(ctx, path)
	}
	if clip.IsMovie(path) {
		return OpenMovie(ctx, path, clip.Options{})
	}
	return OpenPicture(ctx, path)
}

// Close gives back what the work's footage takes: a movie's decoders and frames.
// Its renderer gives no more frames then but those it has.
func (w *Work) Close() error { return w.Clip.Close() }

// OpenStudy opens a study file and its footage. Footage that is missing or has
// changed is a *study.FootageError.
func OpenStudy(ctx context.Context, path string) (*Work, error) {
	return OpenStudyAs(ctx, path, func(*study.Clip) error { return nil })
}

// OpenStudyAs is OpenStudy where another reading of the footage is wanted than the study
// has: change is given its clip before that is opened. Its error is returned as it is.
func OpenStudyAs(ctx context.Context, path string, change func(*study.Clip) error) (*Work, error) {
	s, state, err := study.LoadState(path)
	if err != nil {
		return nil, err
	}
	if err := change(&s.Clip); err != nil {
		return nil, err
	}
	w, err := FromStudy(ctx, s, path)
	if err != nil {
		return nil, err
	}
	w.File = state
	return w, nil
}

// FromStudy opens the footage of a study that is in memory: recovered work, or
// one whose footage has been found elsewhere. path is the study's file, "" for
// none. Footage that is missing or has changed is a *study.FootageError; of a
// sequence that is said of the first file alone. Where frames
// of the study are missing now, or some have come since, a notice says so.
func FromStudy(ctx context.Context, s *study.Study, path string) (*Work, error) {
	if err := s.Clip.CheckFootage(ctx); err != nil {
		return nil, err
	}
	footage, err := footageOf(ctx, s.Clip)
	if err != nil {
		return nil, err
	}
	if !footage.Has(s.Clip.First) || !footage.IsSequence() && footage.Count() < s.Clip.Count {
		footage.Close()
		return nil, fmt.Errorf("work: the footage has %s, want %s as in the study: %s", frames(footage.First(), footage.Count()), frames(s.Clip.First, s.Clip.Count), s.Clip.Path)
	}
	w := join(s, path, footage)
	w.Unknown = UnknownFields(path, s.Unknown())
	if footage.Count() != s.Clip.Count {
		w.notice("It has %s now; the study was made of %s.", frames(footage.First(), footage.Count()), frames(s.Clip.First, s.Clip.Count))
	}
	return w, nil
}

// mostUnknown is how many fields a sentence lists.
const mostUnknown = 3

// UnknownFields says in a line which fields of a study's file are not known; "" for
// none. The places are those of Study.Unknown.
func UnknownFields(path string, places []string) string {
	n := len(places)
	if n == 0 {
		return ""
	}
	name, listed := filepath.Base(path), strings.Join(places[:min(n, mostUnknown)], ", ")
	switch {
	case n == 1:
		return fmt.Sprintf("%s: this version does not know the field %s. It changes nothing and is kept.", name, listed)
	case n > mostUnknown:
		listed += fmt.Sprintf(" and %d more", n-mostUnknown)
	}
	return fmt.Sprintf("%s: this version does not know the fields %s. They change nothing and are kept.", name, listed)
}

// footageOf opens what a study was made of.
func footageOf(ctx context.Context, c study.Clip) (*clip.Clip, error) {
	switch {
	case clip.IsMovie(c.Path):
		return clip.OpenMovie(ctx, c.Path, clip.Options{Matrix: c.Matrix, Range: c.Range})
	case c.Count > 1 || c.Rate[0] > 0: // stills have no rate
		return clip.OpenSequence(c.Path)
	}
	return clip.Open(c.Path)
}

// OpenMovie is OpenPicture for a movie. The frame rate is the movie's own, where
// that varies its mean, and the noise the median of five frames spread over it.
// Close the work when it is no longer used.
func OpenMovie(ctx context.Context, path string, o clip.Options) (*Work, error) {
	footage, err := clip.OpenMovie(ctx, path, o)
	if err != nil {
		return nil, err
	}
	w, err := fromFootage(ctx, footage)
	if err != nil {
		return nil, err
	}
	w.Study.Clip.Matrix, w.Study.Clip.Range = o.Matrix, o.Range
	return w, nil
}

// OpenPicture opens a still and makes a new study of it: fingerprint and noise
// measured, all else neutral. The study has no file yet.
func OpenPicture(ctx context.Context, path string) (*Work, error) {
	footage, err := clip.Open(path)
	if err != nil {
		return nil, err
	}
	return fromFootage(ctx, footage)
}

// OpenSequence is OpenPicture for the numbered sequence that a file belongs to or
// a folder contains (clip.OpenSequence). The fingerprint is the first file's, the
// frame rate StartRate until somebody says another, and the noise the median of
// five frames spread over the sequence.
func OpenSequence(ctx context.Context, path string) (*Work, error) {
	footage, err := clip.OpenSequence(path)
	if err != nil {
		return nil, err
	}
	return fromFootage(ctx, footage)
}

func join(s *study.Study, path string, footage *clip.Clip) *Work {
	w := &Work{Study: s, Path: path, Clip: footage, Renderer: render.New(footage, 0, render.DefaultCache)}
	for _, n := range footage.Info().Notices {
		w.notice("%s", n)
	}
	return w
}

// Said is all that there is to say about the footage and the study's file.
func (w *Work) Said() []string {
	if w.Unknown == "" {
		return w.Notices
	}
	return append(slices.Clone(w.Notices), w.Unknown)
}

// notice adds a sentence about the footage.
func (w *Work) notice(format string, args ...any) {
	w.Notices = append(w.Notices, w.Clip.Name()+": "+fmt.Sprintf(format, args...))
}

func fromFootage(ctx context.Context, footage *clip.Clip) (w *Work, err error) {
	defer func() {
		if err != nil {
			footage.Close()
		}
	}()
	name := footage.Path(footage.First())
	path, err := filepath.Abs(name)
	if err != nil {
		return nil, fmt.Errorf("work: its folder is not known, %w: %s", err, name)
	}
	print, err := study.Measure(ctx, path)
	if err != nil {
		return nil, fmt.Errorf("work: cannot be measured, %w: %s", err, name)
	}
	noise, left, err := measureNoise(ctx, footage)
	if err != nil {
		return nil, err
	}
	c := study.Clip{Path: path, First: footage.First(), Count: footage.Count(), Noise: noise, Footage: print}
	switch {
	case footage.IsSequence():
		c.Rate = StartRate
	case footage.IsMovie():
		c.Rate = footage.Rate()
	}
	w = join(study.New(c), "", footage)
	for _, err := range left {
		w.notice("Noise was measured without one of its frames (%v).", err)
	}
	return w, nil
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

// Beside is where a study of the footage is saved if nobody says another place: beside its
// picture or movie, of a sequence beside its frames under the name that they share.
func (w *Work) Beside() string {
	first := w.Clip.Path(w.Clip.First())
	if w.Clip.IsSequence() {
		return filepath.Join(filepath.Dir(first), w.Study.Clip.Name()+study.Ending)
	}
	return strings.TrimSuffix(first, filepath.Ext(first)) + study.Ending
}
