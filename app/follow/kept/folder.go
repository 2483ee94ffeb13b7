package kept

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"halocline/app/regular"
)

// DefaultMost is how many bytes of outlines a folder has at most: those of some thousand frames.
const DefaultMost = 1 << 30

// FiguresMost is how many bytes of figures it has at most: those of some ten thousand frames.
const FiguresMost = 64 << 20

// A content is what a Folder's files hold. Folders of several contents may be at one path.
type content struct {
	name   string // of the content, in sentences
	ending string // of the files' names, after the digest; those that are being written begin so
	mark   []byte // says what a file is, and in which form
}

var (
	outlines = content{"outlines", ".outline", []byte("hcoutln1")}
	figures  = content{"figures", ".figures", []byte("hcfigur1")}
)

// unfinished is how the names of files begin that are being written.
func (c content) unfinished() string { return c.ending + "-" }

// mostFile is how many bytes a file may have that is read.
const mostFile = 256 << 20

// A Folder keeps data by digests of 64 hexadecimal digits. It is made with the first that is
// saved. Its methods may be called from several goroutines.
type Folder struct {
	content
	path string
	most int64
	tell func(sentence string)

	mu      sync.Mutex
	told    map[string]bool
	shut    error // why nothing can be written
	counted bool  // whether bytes is known
	bytes   int64 // of all files, as far as this program knows
}

// New returns the folder of outlines at path, with most bytes at most. tell, if not nil, is told in plain
// sentences, each once, what could not be read or written; it must not call the folder.
func New(path string, most int64, tell func(sentence string)) *Folder {
	return &Folder{content: outlines, path: path, most: most, tell: tell, told: map[string]bool{}}
}

// NewFigures is New for figures.
func NewFigures(path string, most int64, tell func(sentence string)) *Folder {
	f := New(path, most, tell)
	f.content = figures
	return f
}

// Load returns what was saved under a digest; false where nothing was, or it is not whole.
func (f *Folder) Load(digest string) ([]byte, bool) {
	path := f.file(digest)
	data, err := f.read(path, digest)
	switch {
	case errors.Is(err, fs.ErrNotExist) || err != nil && !f.isFolder():
		return nil, false
	case err != nil:
		f.say("%s is not read: %v; what it should hold is made anew", path, err)
		return nil, false
	}
	now := time.Now()
	_ = os.Chtimes(path, now, now) // it was used last; where that cannot be noted it is among the first to go
	return data, true
}

// isFolder reports whether there is a folder at the path: where something else is, Save says so.
func (f *Folder) isFolder() bool {
	info, err := os.Stat(f.path)
	return err == nil && info.IsDir()
}

// Has reports whether there is a file for a digest. It does not read it.
func (f *Folder) Has(digest string) bool {
	_, err := regular.Stat(f.file(digest))
	return err == nil
}

// Save keeps data under a digest. Where it cannot be written, that is told, and nothing more
// is written.
func (f *Folder) Save(digest string, data []byte) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.shut != nil {
		return
	}
	file := f.sealed(digest, data)
	before := size(f.file(digest))
	if err := f.write(digest, file); err != nil {
		f.shut = err
		f.sayLocked("%s cannot be kept and are made anew next time: %v", f.name, err)
		return
	}
	if !f.counted {
		f.count()
	} else {
		f.bytes += int64(len(file)) - before
	}
	if f.bytes > f.most {
		f.thin()
	}
}

// Err returns why nothing can be written; nil where nothing is known to stand in the way.
func (f *Folder) Err() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.shut
}

// Path returns where the folder is, or would be.
func (f *Folder) Path() string { return f.path }

// Drop forgets what was saved under a digest.
func (f *Folder) Drop(digest string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	n := size(f.file(digest))
	if os.Remove(f.file(digest)) == nil {
		f.bytes -= n
	}
}

func (f *Folder) file(digest string) string { return filepath.Join(f.path, digest+f.ending) }

// say tells something that was not told before.
func (f *Folder) say(format string, a ...any) {
	f.mu.Lock()
	defer f.mu.Unlock()
	f.sayLocked(format, a...)
}

func (f *Folder) sayLocked(format string, a ...any) {
	text := fmt.Sprintf(format, a...)
	if f.tell == nil || f.told[text] {
		return
	}
	f.told[text] = true
	f.tell(text)
}

// write makes a digest's file.
func (f *Folder) write(digest string, file []byte) (err error) {
	if err := os.MkdirAll(f.path, 0o777); err != nil {
		return err
	}
	out, err := os.CreateTemp(f.path, f.unfinished()+"*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(out.Name())
		}
	}()
	if _, err = out.Write(file); err != nil {
		out.Close()
		return err
	}
	// Not forced to the disk: a file that a crash cuts is not whole, and is made anew.
	if err = out.Close(); err != nil {
		return err
	}
	return os.Rename(out.Name(), f.file(digest))
}

// sealed is a file's content.
func (c content) sealed(digest string, data []byte) []byte {
	name, err := hex.DecodeString(digest)
	if err != nil || len(name) != sha256.Size {
		panic(fmt.Sprintf("kept: digest is %q, want 64 hexadecimal digits", digest))
	}
	out := append(append(append([]byte{}, c.mark...), name...), data...)
	sum := sha256.Sum256(out)
	return append(out, sum[:]...)
}

// read returns what a digest's file holds.
func (c content) read(path, digest string) ([]byte, error) {
	file, info, err := regular.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	if info.Size() > mostFile {
		return nil, fmt.Errorf("it has %d bytes, want at most %d", info.Size(), mostFile)
	}
	text, err := io.ReadAll(file)
	if err != nil {
		return nil, err
	}
	head := len(c.mark) + sha256.Size
	switch {
	case len(text) < head+sha256.Size:
		return nil, fmt.Errorf("it has %d bytes, want %d or more", len(text), head+sha256.Size)
	case !bytes.HasPrefix(text, c.mark):
		return nil, fmt.Errorf("it is no file of %s", c.name)
	case hex.EncodeToString(text[len(c.mark):head]) != digest:
		return nil, errors.New("it belongs to another name")
	}
	body := text[:len(text)-sha256.Size]
	if sum := sha256.Sum256(body); !bytes.Equal(sum[:], text[len(body):]) {
		return nil, errors.New("its bytes were changed or cut")
	}
	return body[head:], nil
}

func size(path string) int64 {
	info, err := regular.Stat(path)
	if err != nil {
		return 0
	}
	return info.Size()
}

// isOurs reports whether a name is one that the folder gives a file.
func (c content) isOurs(name string) bool {
	digest, has := strings.CutSuffix(name, c.ending)
	_, err := hex.DecodeString(digest)
	return has && err == nil && len(digest) == 2*sha256.Size
}
