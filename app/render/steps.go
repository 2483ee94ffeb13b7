package render

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"runtime"

	"halocline/app/study"
	"halocline/mask"
)

// carriedVersion is that of how outlines are carried. It rises, as study.Engine does, with
// every change that alters a bit of one.
const carriedVersion = 2

// A step is a frame of the way from a key, named by all that an outline carried to it depends
// on: the key, and the content of all frames on the way. Renderers on other kinds of processor
// may differ in single bits, so that counts too.
type step struct {
	frame  int
	name   string
	before []string // the files of the frames up to this one
}

func (s step) outline() string { return digestOf("outline at %s", s.name) }
func (s step) state() string   { return digestOf("state at %s", s.name) }

func digestOf(format string, a ...any) string {
	sum := sha256.Sum256(fmt.Appendf(nil, format, a...))
	return hex.EncodeToString(sum[:])
}

// steps are those from a key to a frame, in turn, as far as the footage has frames there. There
// are none where nothing is kept in a store, or the content of a frame is not known.
func (p *part) steps(ctx context.Context, a *mask.Anchor, frame int) (all []step, err error) {
	if p.follows.store == nil {
		return nil, nil
	}
	clip, by := &p.study.Clip, direction(a.Frame, frame)
	name := digestOf("carried %d engine %d on %s of %v by %d read as %q %q%s",
		carriedVersion, study.Engine, runtime.GOARCH, a, by, clip.Matrix, clip.Range, p.lookOn(a))
	var files []string
	for n := a.Frame; ; n += by {
		if p.Has(n) {
			path := p.Path(n)
			if path == "" {
				return nil, nil
			}
			sum, err := p.follows.prints.of(ctx, path)
			if err != nil || sum == "" {
				return nil, err
			}
			name, files = digestOf("%s then %d %s", name, n, sum), append(files, path)
			all = append(all, step{n, name, files[:len(files):len(files)]})
		}
		if n == frame {
			return all, nil
		}
	}
}

// lookOn is what the search at a key reads of the picture there.
func (p *part) lookOn(a *mask.Anchor) string {
	if !a.Search.On() {
		return ""
	}
	return p.look(a.Frame)
}

// look is what searches read of a frame beside its content.
func (p *part) look(frame int) string {
	return fmt.Sprintf(" smoothed %v base %v", p.study.Clip.Noise, p.study.Base.At(frame))
}

// direction is the way from a frame to another: 1 or -1.
func direction(from, to int) int {
	if to < from {
		return -1
	}
	return 1
}
