package kept

import (
	"maps"
	"slices"
	"sync"
)

// Beside is the folder for the outlines of a study, beside its file.
func Beside(study string) string { return study + ".cache" }

// mostWaiting is how many bytes wait in memory for a folder at most: the outlines of some
// hundred frames.
const mostWaiting = 64 << 20

// A Place keeps data for a study that may have no file yet, or get another one: until there is
// a folder they wait in memory, and they go along to the next. Its methods may be called from
// several goroutines.
type Place struct {
	mu      sync.Mutex
	folder  *Folder           // nil: none yet
	waiting map[string][]byte // for a folder, by digest
	bytes   int               // of all that waits
	known   map[string]bool   // digests that were saved or read
}

// NewPlace returns a place without a folder.
func NewPlace() *Place {
	return &Place{waiting: map[string][]byte{}, known: map[string]bool{}}
}

// MoveTo has data kept in a folder from now on. What waited, and what was saved or read in the
// folder before it, goes there too.
func (p *Place) MoveTo(to *Folder) {
	p.mu.Lock()
	from, waiting, known := p.folder, p.waiting, slices.Sorted(maps.Keys(p.known))
	p.folder, p.waiting, p.bytes = to, map[string][]byte{}, 0
	p.mu.Unlock()
	for digest, data := range waiting {
		to.Save(digest, data)
	}
	if from == nil || from.Path() == to.Path() {
		return
	}
	for _, digest := range known {
		if to.Has(digest) {
			continue
		}
		if data, ok := from.Load(digest); ok {
			to.Save(digest, data)
		}
	}
}

// Load returns what was saved under a digest; false where nothing was, or it is not whole.
func (p *Place) Load(digest string) ([]byte, bool) {
	p.mu.Lock()
	folder := p.folder
	data, ok := p.waiting[digest]
	p.mu.Unlock()
	if ok || folder == nil {
		return data, ok
	}
	if data, ok = folder.Load(digest); ok {
		p.note(digest)
	}
	return data, ok
}

// Has reports whether there is something for a digest. It does not read it.
func (p *Place) Has(digest string) bool {
	p.mu.Lock()
	folder := p.folder
	_, ok := p.waiting[digest]
	p.mu.Unlock()
	return ok || folder != nil && folder.Has(digest)
}

// Save keeps data under a digest, which must not be written again. Where nothing more may wait
// in memory they are forgotten.
func (p *Place) Save(digest string, data []byte) {
	p.note(digest)
	if folder := p.wait(digest, data); folder != nil {
		folder.Save(digest, data)
	}
}

// wait has data wait for a folder, or returns the one that there is.
func (p *Place) wait(digest string, data []byte) *Folder {
	p.mu.Lock()
	defer p.mu.Unlock()
	if grown := p.bytes + len(data) - len(p.waiting[digest]); p.folder == nil && grown <= mostWaiting {
		p.waiting[digest], p.bytes = data, grown
	}
	return p.folder
}

// Drop forgets what was saved under a digest.
func (p *Place) Drop(digest string) {
	p.mu.Lock()
	folder := p.folder
	p.bytes -= len(p.waiting[digest])
	delete(p.waiting, digest)
	delete(p.known, digest)
	p.mu.Unlock()
	if folder != nil {
		folder.Drop(digest)
	}
}

func (p *Place) note(digest string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.known[digest] = true
}
