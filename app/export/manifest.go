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
	written map[string][]study.Footage // what any line says of a file's bytes
	lines   int                        // with an entry, also where a later one holds
	torn    bool                       // its last line was cut
}

// openManifest reads a folder's manifest; where there is none it is empty.
func openManifest(folder string) (*manifest, error) {
	m := &manifest{path: filepath.Join(folder, ManifestName), entries: map[string]Entry{}, written: map[string][]study.Footage{}}
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
	m.written[e.Name] = append(m.written[e.Name], study.Footage{Size: e.Size, SHA256: e.SHA256})
	m.lines++
}

// wrote reports whether an export wrote the file at path, which the manifest
// knows by name, as it is now, and what was found where none did. Earlier lines
// count too: an export that was killed may have left a new line and the old file.
// The file is read only where its size agrees.
func (m *manifest) wrote(ctx context.Context, name, path string) (ok bool, found string, err error) {
	info, err := os.Stat(path)
	if err != nil {
		return false, "", err
	}
	list := m.written[name]
	if !slices.ContainsFunc(list, func(f study.Footage) bool { return f.Size == info.Size() }) {
		return false, fmt.Sprintf("%d bytes", info.Size()), nil
	}
	print, err := study.Measure(ctx, path)
	return slices.Contains(list, print), "other bytes", err
}

// add appends an entry, at once and as one line, so that several exports may
// write into one folder at the same time.
func (m *manifest) add(e Entry) error {
	if m.torn { // or the entry would hang on to half a line
		if err := m.tidy(); err != nil {
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

// tidy writes the manifest anew, one line for each file, sorted by name. It
// reads it first: another export may have added to it. What one adds while this
// is being written is lost, so it is done seldom.
func (m *manifest) tidy() error {
	now, err := openManifest(filepath.Dir(m.path))
	if err != nil {
		return err
	}
	m.entries, m.written, m.lines, m.torn = now.entries, now.written, len(now.entries), false
	return study.WriteBeside(m.path, func(w io.Writer) error {
		out := json.NewEncoder(w)
		for _, e := range m.sorted() {
			if err := out.Encode(e); err != nil {
				return err
			}
		}
		return nil
	})
}

func (m *manifest) sorted() []Entry {
	var list []Entry
	for _, e := range m.entries {
		list = append(list, e)
	}
	slices.SortFunc(list, func(a, b Entry) int { return cmp.Compare(a.Name, b.Name) })
	return list
}
