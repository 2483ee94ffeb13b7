package export

import (
	"bufio"
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"halocline/app/study"
)

// ManifestName is the file in an output folder that lists what was written
// there: one JSON object a line, an Entry. Of several lines for one name the
// last holds.
const ManifestName = "manifest.jsonl"

// An Entry says what one written file is.
type Entry struct {
	Name   string `json:"name"` // relative to the folder, with slashes
	Kind   Kind   `json:"kind"`
	Matte  string `json:"matte,omitempty"`
	Source string `json:"source,omitempty"` // the footage's SHA-256, "" where nobody measured it
	Frame  int    `json:"frame"`            // the source's number
	Digest string `json:"digest"`           // of all that the picture depends on, 64 hexadecimal digits
	Size   int64  `json:"size"`             // bytes
	SHA256 string `json:"sha256"`           // of the file, 64 hexadecimal digits
}

// A manifest is an output folder's list.
type manifest struct {
	path    string
	entries map[string]Entry
	written map[string][]Entry // all lines of a file, as they follow
	lines   int                // with an entry, also where a later one holds
	torn    bool               // its last line was cut
}

// openManifest reads a folder's manifest; where there is none it is empty.
func openManifest(folder string) (*manifest, error) {
	m := &manifest{path: filepath.Join(folder, ManifestName), entries: map[string]Entry{}, written: map[string][]Entry{}}
	f, err := os.Open(m.path)
	if errors.Is(err, fs.ErrNotExist) {
		return m, nil
	}
	if err != nil {
		return nil, fmt.Errorf("export: manifest cannot be read: %w", err)
	}
	defer f.Close()
	return m, m.read(f)
}

// read takes in lines. A last one without an end was cut when its writer was
// killed: it is left out.
func (m *manifest) read(r io.Reader) error {
	lines := bufio.NewReader(r)
	for n := 1; ; n++ {
		line, err := lines.ReadBytes('\n')
		if errors.Is(err, io.EOF) {
			m.torn = len(line) > 0
			return nil
		}
		if err != nil {
			return fmt.Errorf("export: %s: line %d cannot be read: %w", m.path, n, err)
		}
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		var e Entry
		if err := json.Unmarshal(line, &e); err != nil || e.Name == "" {
			return fmt.Errorf("export: %s: line %d is no entry of a manifest, want {\"name\": ..., \"sha256\": ...}", m.path, n)
		}
		m.learn(e)
	}
}

func (m *manifest) learn(e Entry) {
	m.entries[e.Name] = e
	m.written[e.Name] = append(m.written[e.Name], e)
	m.lines++
}

// wrote reports whether an export wrote the file at path, which the manifest
// knows by name, as it is now. Earlier lines count too: an export that was killed
// may have left a new line and the old file. The file is read only where its size
// agrees: print has no SHA-256 else.
func (m *manifest) wrote(ctx context.Context, name, path string) (print study.Footage, ok bool, err error) {
	info, err := os.Stat(path)
	if err != nil {
		return study.Footage{}, false, err
	}
	list := m.written[name]
	if !slices.ContainsFunc(list, func(e Entry) bool { return e.Size == info.Size() }) {
		return study.Footage{Size: info.Size()}, false, nil
	}
	print, err = study.Measure(ctx, path)
	return print, slices.ContainsFunc(list, func(e Entry) bool { return e.print() == print }), err
}

// print is what a line says of a file's bytes.
func (e Entry) print() study.Footage { return study.Footage{Size: e.Size, SHA256: e.SHA256} }

// add appends an entry, at once and as one line, so that several exports may
// write into one folder at the same time.
func (m *manifest) add(ctx context.Context, e Entry) error {
	if m.torn { // or the entry would hang on to half a line
		if err := m.tidy(ctx); err != nil {
			return err
		}
	}
	line, err := json.Marshal(e)
	if err != nil {
		return fmt.Errorf("export: manifest entry of %s: %w", e.Name, err)
	}
	if err := os.MkdirAll(filepath.Dir(m.path), 0o777); err != nil {
		return fmt.Errorf("export: no folder for %s: %w", m.path, err)
	}
	f, err := os.OpenFile(m.path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o666)
	if err != nil {
		return fmt.Errorf("export: manifest cannot be written: %w", err)
	}
	_, err = f.Write(append(line, '\n'))
	if err := errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("export: %s cannot be written: %w", m.path, err)
	}
	m.learn(e)
	return nil
}

// worn reports whether most lines no longer hold.
func (m *manifest) worn() bool { return m.lines > 2*len(m.entries) }

// tidy writes the manifest anew, one line for each file, sorted by name; two where
// the file is still that of an earlier line, because an export was killed before
// it replaced it. It reads the manifest first: another export may have added to
// it. What one adds while this is being written is lost, so it is done seldom.
func (m *manifest) tidy(ctx context.Context) error {
	now, err := openManifest(filepath.Dir(m.path))
	if err != nil {
		return err
	}
	var kept []Entry
	for _, e := range now.sorted() {
		if err := ctx.Err(); err != nil {
			return err
		}
		if old, ok := now.stillOf(ctx, e); ok {
			kept = append(kept, old)
		}
		kept = append(kept, e)
	}
	*m = manifest{path: m.path, entries: map[string]Entry{}, written: map[string][]Entry{}}
	for _, e := range kept {
		m.learn(e)
	}
	return study.WriteBeside(m.path, func(w io.Writer) error {
		out := json.NewEncoder(w)
		for _, e := range kept {
			if err := out.Encode(e); err != nil {
				return err
			}
		}
		return nil
	})
}

// stillOf returns the earlier line that a file is still of. Files with one line,
// or with several that say the same, are not read.
func (m *manifest) stillOf(ctx context.Context, last Entry) (Entry, bool) {
	differs := func(e Entry) bool { return e.print() != last.print() }
	list := m.written[last.Name]
	if !slices.ContainsFunc(list, differs) {
		return Entry{}, false
	}
	print, wrote, err := m.wrote(ctx, last.Name, filepath.Join(filepath.Dir(m.path), filepath.FromSlash(last.Name)))
	if err != nil || !wrote || print == last.print() {
		return Entry{}, false
	}
	return list[slices.IndexFunc(list, func(e Entry) bool { return e.print() == print })], true
}

func (m *manifest) sorted() []Entry {
	var list []Entry
	for _, e := range m.entries {
		list = append(list, e)
	}
	slices.SortFunc(list, func(a, b Entry) int { return cmp.Compare(a.Name, b.Name) })
	return list
}
