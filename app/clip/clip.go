package clip

import (
	"context"
	"fmt"
	"path/filepath"
	"strconv"
	"strings"

	"halocline/colour"
)

// A Clip is footage: frames by the numbers the source gives them. It holds no
// file open, and its methods may be called from several goroutines.
type Clip struct {
	path  string
	info  Info
	first int
}

// Open reads the header of the footage at path. A still is a clip of one frame,
// whose number is the one its name ends with: 41 for shot.0041.png, 0 for a
// name without digits at its end or with more than nine.
func Open(path string) (*Clip, error) {
	info, err := Stat(path)
	if err != nil {
		return nil, err
	}
	return &Clip{path: path, info: info, first: frameNumber(path)}, nil
}

// mostDigits keeps frame numbers within 32 bits; longer runs are dates and
// serial numbers.
const mostDigits = 9

func frameNumber(path string) int {
	name := filepath.Base(path)
	name = strings.TrimSuffix(name, filepath.Ext(name))
	digits := name[len(strings.TrimRight(name, "0123456789")):]
	if len(digits) > mostDigits {
		return 0
	}
	n, _ := strconv.Atoi(digits) // no digits: 0
	return n
}

// Path returns what Open was given.
func (c *Clip) Path() string { return c.path }

// Info returns what the header says; size and orientation hold for every frame.
func (c *Clip) Info() Info { return c.info }

// First returns the number of the first frame.
func (c *Clip) First() int { return c.first }

// Count returns the number of frames.
func (c *Clip) Count() int { return 1 }

// Frame reads frame n, by the source's numbers. Each call returns a picture of
// its own.
func (c *Clip) Frame(ctx context.Context, n int) (*colour.Image, error) {
	if n != c.first {
		return nil, &Error{c.path, fmt.Sprintf("frame %d asked of a still", n), fmt.Sprintf("its only frame, %d", c.first), ErrNoFrame, nil}
	}
	m, info, err := Read(ctx, c.path)
	if err != nil {
		return nil, err
	}
	if info.Width != c.info.Width || info.Height != c.info.Height {
		return nil, &Error{c.path, fmt.Sprintf("it changed to %d x %d pixels since it was opened", info.Width, info.Height),
			fmt.Sprintf("%d x %d", c.info.Width, c.info.Height), ErrDamaged, nil}
	}
	return m, nil
}
