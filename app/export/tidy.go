package export

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"

	"halocline/app/study"
)

// Several exports may add to one manifest while another tidies it, which puts a new file
// in its place. No line is lost. Whoever adds a line checks that its file still has the
// name, and otherwise adds the line again. Whoever tidies copies what was added to the old
// file up to the replacement. A line may stand there twice, which does no harm.

// append writes a line at the end of the own file.
func (m *manifest) append(ctx context.Context, v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	return m.addLines(ctx, append(text, '\n'))
}

// addLines writes whole lines, none for none, where they stay.
func (m *manifest) addLines(ctx context.Context, lines []byte) (err error) {
	for again := len(lines) > 0; again && err == nil; {
		if m.torn { // or they would hang on to half a line
			if err := m.tidyLocked(ctx); err != nil {
				return err
			}
		}
		again, err = m.addText(lines)
	}
	return err
}

// addText writes whole lines at the end of the own file. They must be written again where
// that ends in half a line, which is torn then, or lost its name meanwhile.
func (m *manifest) addText(text []byte) (again bool, err error) {
	f, err := m.openOwn()
	if err != nil {
		return false, err
	}
	defer f.Close()
	end, size, err := endOfLines(f)
	if err != nil {
		return false, err
	}
	if m.torn = end < size; m.torn {
		return true, nil
	}
	if _, err = f.Write(text); err != nil {
		m.torn = true // a full disk takes half a line
		return false, err
	}
	info, err := f.Stat()
	if err != nil {
		return false, err
	}
	now, err := m.statOwn()
	switch {
	case errors.Is(err, fs.ErrNotExist): // lookOnce tells
		return false, f.Close()
	case err != nil:
		return false, err
	}
	return !os.SameFile(info, now), f.Close()
}

func (m *manifest) openOwn() (*os.File, error) {
	const flags = os.O_APPEND | os.O_CREATE | os.O_RDWR
	if m.root != nil {
		return m.root.OpenFile(filepath.Base(m.path), flags, 0o666)
	}
	return os.OpenFile(m.path, flags, 0o666)
}

func (m *manifest) statOwn() (fs.FileInfo, error) {
	if m.root != nil {
		return m.root.Stat(filepath.Base(m.path))
	}
	return os.Stat(m.path)
}

// endOfLines returns where a file's last whole line ends, and the file's size.
func endOfLines(f *os.File) (end, size int64, err error) {
	info, err := f.Stat()
	if err != nil {
		return 0, 0, err
	}
	size = info.Size()
	block := make([]byte, 1) // a file is seldom torn: the first look is at one byte
	for end = size; end > 0; {
		at := max(0, end-int64(len(block)))
		if _, err := f.ReadAt(block[:end-at], at); err != nil {
			return 0, 0, err
		}
		if i := bytes.LastIndexByte(block[:end-at], '\n'); i >= 0 {
			return at + int64(i) + 1, size, nil
		}
		end, block = at, make([]byte, 1<<16)
	}
	return 0, size, nil
}

// worn reports whether most lines no longer count.
func (m *manifest) worn() bool { return m.lines > 2*len(m.own) }

// tidy writes the own file anew: plans, then one line for each file, sorted by
// name; two where the file is still that of an earlier line, because an export was
// killed before it replaced it. It reads the file first: another export may have
// added to it.
func (m *manifest) tidy(ctx context.Context) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.tidyLocked(ctx)
}

func (m *manifest) tidyLocked(ctx context.Context) error {
	for {
		replaced, err := m.replaceOwn(ctx)
		if err != nil {
			return err
		}
		if replaced {
			break
		}
	}
	now, err := openManifest(filepath.Dir(m.path), filepath.Base(m.path))
	if err != nil {
		return err
	}
	m.entries, m.own, m.ownLines, m.written, m.lines, m.torn = now.entries, now.own, now.ownLines, now.written, now.lines, now.torn
	m.plans, m.planned = now.plans, now.planned
	return nil
}

// replaceOwn puts a tidied file in place of the own one. It does not where another export
// has just done so.
func (m *manifest) replaceOwn(ctx context.Context) (replaced bool, err error) {
	old, err := os.Open(m.path)
	if errors.Is(err, fs.ErrNotExist) {
		m.torn = false
		return true, nil
	}
	if err != nil {
		return false, err
	}
	defer old.Close()
	end, _, err := endOfLines(old)
	if err != nil {
		return false, err
	}
	was, err := old.Stat()
	if err != nil {
		return false, err
	}
	text, err := m.tidied(ctx)
	if err != nil {
		return false, err
	}
	part, err := study.CreateBeside(m.path)
	if err != nil {
		return false, err
	}
	defer os.Remove(part.Name()) // where it is not renamed
	defer part.Close()
	if _, err := part.Write(text); err != nil {
		return false, err
	}
	if err := errors.Join(part.Chmod(was.Mode().Perm()), part.Sync(), part.Close()); err != nil {
		return false, err
	}
	if now, err := os.Stat(m.path); err != nil || !os.SameFile(was, now) {
		return false, err
	}
	added := func() ([]byte, error) { return linesFrom(old, end) }
	if runtime.GOOS == "windows" { // which renames nothing to a file that is open
		tail, err := added()
		old.Close()
		added = func() ([]byte, error) { return tail, err }
	}
	if err := os.Rename(part.Name(), m.path); err != nil {
		return false, err
	}
	m.torn = false
	tail, err := added()
	if err != nil {
		return true, err
	}
	return true, m.addLines(ctx, tail)
}

// tidied is the text of the own file, tidied.
func (m *manifest) tidied(ctx context.Context) ([]byte, error) {
	now, err := openManifest(filepath.Dir(m.path), filepath.Base(m.path))
	if err != nil {
		return nil, err
	}
	var text bytes.Buffer
	out := json.NewEncoder(&text)
	for _, p := range standingOnly(now.planned, now.plans) {
		if err := out.Encode(planLine{p}); err != nil {
			return nil, err
		}
	}
	for _, e := range sortedByName(now.own) {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if old, ok := now.stillOf(ctx, e); ok {
			if err := out.Encode(old); err != nil {
				return nil, err
			}
		}
		if err := out.Encode(e); err != nil {
			return nil, err
		}
	}
	return text.Bytes(), nil
}

// linesFrom returns the whole lines of a manifest's file from a place on.
func linesFrom(f *os.File, from int64) ([]byte, error) {
	rest, err := io.ReadAll(io.NewSectionReader(f, from, math.MaxInt64-from))
	if err != nil {
		return nil, err
	}
	var whole []byte
	for text := range bytes.Lines(rest) {
		var l line
		if bytes.HasSuffix(text, []byte("\n")) && json.Unmarshal(text, &l) == nil && l.problem() == "" {
			whole = append(whole, text...)
		}
	}
	return whole, nil
}

// stillOf returns the earlier line of the own file that a picture is still of. Pictures
// with one line, or with several that say the same, are not read. Lines of other manifests
// stay where they are: copied, an old one could count for more than what follows it there.
func (m *manifest) stillOf(ctx context.Context, last Entry) (Entry, bool) {
	differs := func(e Entry) bool { return e.print() != last.print() }
	list := m.ownLines[last.Name]
	if !slices.ContainsFunc(list, differs) {
		return Entry{}, false
	}
	print, wrote, err := m.wrote(ctx, last.Name, filepath.Join(filepath.Dir(m.path), filepath.FromSlash(last.Name)))
	if err != nil || !wrote || print == last.print() {
		return Entry{}, false
	}
	for _, e := range slices.Backward(list) {
		if e.print() == print {
			return e, true
		}
	}
	return Entry{}, false
}
