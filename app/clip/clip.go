package clip

import (
	"context"
	"fmt"
	"path/filepath"
	"runtime"
	"slices"

	"halocline/colour"
)

// A Clip is footage: frames by the numbers the source gives them. Its methods
// may be called from several goroutines. Of stills and sequences it keeps no file
// open and no frame; of a movie it keeps decoders and raw frames (DefaultRaw)
// until Close.
type Clip struct {
	info     Info
	frames   []int    // ascending
	paths    []string // of the file of each; a movie has one for all
	sequence bool
	movie    *movie
}

// Open opens the movie at path, as OpenMovie does without options, or reads the
// header of the still there: a clip of one frame, whose number is the one its name
// ends with: 41 for shot.0041.png, 0 for a name without digits at its end or with
// more than nine. OpenSequence opens all of its kind.
func Open(path string) (*Clip, error) {
	if IsMovie(path) {
		return OpenMovie(context.Background(), path, Options{})
	}
	info, err := Stat(path)
	if err != nil {
		return nil, err
	}
	return &Clip{info: info, frames: []int{frameNumber(path)}, paths: []string{path}}, nil
}

// IsSequence reports whether the clip is a numbered sequence, be it of one frame.
func (c *Clip) IsSequence() bool { return c.sequence }

// Info returns what the header of the first frame says; size and orientation
// are those of every frame as displayed. Its notices name the frames that a sequence
// lacks.
func (c *Clip) Info() Info { return c.info }

// First and Last return the numbers of the first and the last frame.
func (c *Clip) First() int { return c.frames[0] }

// Last: see First.
func (c *Clip) Last() int { return c.frames[len(c.frames)-1] }

// Count returns the number of frames that are there.
func (c *Clip) Count() int { return len(c.frames) }

// Frames returns the numbers of all frames, ascending.
func (c *Clip) Frames() []int { return slices.Clone(c.frames) }

// Has reports whether there is a frame n.
func (c *Clip) Has(n int) bool {
	_, ok := slices.BinarySearch(c.frames, n)
	return ok
}

// Path returns the file that frame n is in, "" where there is none. A still's is
// what Open was given.
func (c *Clip) Path(n int) string {
	i, ok := slices.BinarySearch(c.frames, n)
	switch {
	case !ok:
		return ""
	case c.movie != nil:
		return c.movie.path
	}
	return c.paths[i]
}

// Name is what messages call the clip: its file, or its first and last.
func (c *Clip) Name() string {
	first, last := filepath.Base(c.paths[0]), filepath.Base(c.paths[len(c.paths)-1])
	if first == last {
		return first
	}
	return first + " to " + last
}

// Select returns the frames that lie within spans, which ascend as ParseSpans
// makes them, and what of the spans is not there.
func (c *Clip) Select(spans []Span) (frames []int, missing []Span) {
	for _, s := range spans {
		next := s.From
		i, _ := slices.BinarySearch(c.frames, s.From)
		for ; i < len(c.frames) && c.frames[i] <= s.To; i++ {
			n := c.frames[i]
			if n > next {
				missing = append(missing, Span{next, n - 1})
			}
			frames = append(frames, n)
			next = n + 1
		}
		if next <= s.To {
			missing = append(missing, Span{next, s.To})
		}
	}
	return frames, missing
}

// Missing returns the gaps between the first and the last frame.
func (c *Clip) Missing() []Span {
	_, missing := c.Select([]Span{{c.First(), c.Last()}})
	return missing
}

// Spans returns the frames that are there as spans.
func (c *Clip) Spans() []Span {
	from := c.First()
	var spans []Span
	for _, gap := range c.Missing() {
		spans = append(spans, Span{from, gap.From - 1})
		from = gap.To + 1
	}
	return append(spans, Span{from, c.Last()})
}

// Frame reads frame n, by the source's numbers. Each call returns a picture of
// its own. A number in a gap is ErrNoFrame, a frame of another size than the
// first ErrSize.
func (c *Clip) Frame(ctx context.Context, n int) (*colour.Image, error) {
	path := c.Path(n)
	if path == "" {
		return nil, c.noFrame(n)
	}
	if c.movie != nil {
		defer runtime.KeepAlive(c) // a clip that nobody uses is closed
		return c.movie.frame(ctx, n, c.movie.coding)
	}
	m, info, err := Read(ctx, path)
	if err == nil {
		err = c.fits(n, info)
	}
	if err != nil {
		return nil, err
	}
	return m, nil
}

// Check reads the headers of frames and returns the error of the first that is
// not there, is no picture, or has another size than the clip's first frame. It
// is for work that would else meet that frame late: to open a sequence is to
// read one header. Of a movie it looks whether the file is still the one that was
// opened.
func (c *Clip) Check(ctx context.Context, frames []int) error {
	for _, n := range frames {
		if err := ctx.Err(); err != nil {
			return err
		}
		path := c.Path(n)
		if path == "" {
			return c.noFrame(n)
		}
		if c.movie != nil {
			if err := c.movie.unchanged(); err != nil {
				return err
			}
			continue
		}
		info, err := Stat(path)
		if err == nil {
			err = c.fits(n, info)
		}
		if err != nil && c.IsSequence() {
			err = fmt.Errorf("frame %d: %w", n, err)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// fits returns an error where frame n has another size than the clip.
func (c *Clip) fits(n int, info Info) error {
	want := fmt.Sprintf("%d x %d", c.info.Width, c.info.Height)
	switch {
	case info.Width == c.info.Width && info.Height == c.info.Height:
		return nil
	case n == c.First():
		return &Error{c.Path(n), fmt.Sprintf("it changed to %d x %d pixels since it was opened", info.Width, info.Height), want, ErrDamaged, nil}
	}
	return &Error{c.Path(n), fmt.Sprintf("it is %d x %d pixels", info.Width, info.Height),
		want + " as " + filepath.Base(c.paths[0]) + ", the first of its sequence", ErrSize, nil}
}

func (c *Clip) noFrame(n int) error {
	if c.movie != nil {
		return &Error{c.movie.path, fmt.Sprintf("frame %d asked of a movie that ends at %d", n, c.Last()), "one of " + FramesWord(c.Spans()), ErrNoFrame, nil}
	}
	if !c.sequence {
		return &Error{c.paths[0], fmt.Sprintf("frame %d asked of a still", n), fmt.Sprintf("its only frame, %d", c.First()), ErrNoFrame, nil}
	}
	found := fmt.Sprintf("frame %d asked of a sequence that ", n)
	switch {
	case n < c.First():
		found += fmt.Sprintf("begins at %d", c.First())
	case n > c.Last():
		found += fmt.Sprintf("ends at %d", c.Last())
	default:
		found += "lacks it"
	}
	return &Error{filepath.Join(filepath.Dir(c.paths[0]), c.Name()), found, "one of " + FramesWord(c.Spans()), ErrNoFrame, nil}
}
