package render

import (
	"context"
	"io/fs"
	"os"
	"sync"

	"halocline/app/regular"
	"halocline/app/study"
)

// prints are fingerprints of the files that frames are in, by path. One whose file has changed
// since it was first seen is none any more: what was made of it may be of either content. The
// zero value is ready.
type prints struct {
	mu    sync.Mutex
	files map[string]*print
}

type print struct {
	info    fs.FileInfo // as the file was first seen
	sum     string      // "" until it is measured
	changed bool
}

// see takes a look at a file before it is read.
func (p *prints) see(path string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.look(path)
}

// look returns what is known of a file.
func (p *prints) look(path string) *print {
	info, err := regular.Stat(path)
	f := p.files[path]
	switch {
	case f == nil:
		if p.files == nil {
			p.files = map[string]*print{}
		}
		f = &print{info: info, changed: err != nil}
		p.files[path] = f
	case err != nil || !sameFile(f.info, info):
		f.changed = true
	}
	return f
}

// sameFile reports whether a file is as it was.
func sameFile(before, now fs.FileInfo) bool {
	return before != nil && os.SameFile(before, now) && before.Size() == now.Size() && before.ModTime().Equal(now.ModTime())
}

// of returns the fingerprint of a file, "" where it has none.
func (p *prints) of(ctx context.Context, path string) (string, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	f := p.look(path)
	if f.changed || f.sum != "" {
		return f.valid(), nil
	}
	measured, err := study.Measure(ctx, path)
	switch {
	case ctx.Err() != nil:
		return "", ctx.Err()
	case err != nil:
		f.changed = true
	default:
		f.sum = measured.SHA256
	}
	return p.look(path).valid(), nil
}

func (f *print) valid() string {
	if f.changed {
		return ""
	}
	return f.sum
}

// stand reports whether files are as they were measured.
func (p *prints) stand(paths []string) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	before := ""
	for _, path := range paths {
		if path != before && p.look(path).valid() == "" { // a movie has all frames in one
			return false
		}
		before = path
	}
	return true
}
