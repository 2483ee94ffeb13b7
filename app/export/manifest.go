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
	"maps"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"halocline/app/regular"
	"halocline/app/study"
)

// ManifestName is the file in an output folder that lists what was written
// there: one JSON object a line, an Entry or {"plan": Plan}. Of several lines for
// one name the last counts. Each shard of an export has one of its own, see Shard.
const ManifestName = "manifest.jsonl"

// An Entry says what one written file is.
type Entry struct {
	Name     string      `json:"name"` // relative to the folder, with slashes
	Kind     Kind        `json:"kind"`
	Matte    string      `json:"matte,omitempty"`
	Source   string      `json:"source,omitempty"`   // the footage's SHA-256, "" where nobody measured it
	Footage  string      `json:"footage,omitempty"`  // the name of the file that holds the frame
	Frame    int         `json:"frame"`              // the source's number
	Time     json.Number `json:"time,omitempty"`     // of the frame, in seconds: see frameTime
	Timecode string      `json:"timecode,omitempty"` // the same as hours:minutes:seconds:frames
	Digest   string      `json:"digest"`             // of all that the picture depends on, 64 hexadecimal digits
	Size     int64       `json:"size"`               // bytes
	SHA256   string      `json:"sha256"`             // of the file, 64 hexadecimal digits
	// Turn tells which manifest of a folder counts for a name that several list:
	// the one with the highest. It rises where an export takes a name over that
	// another manifest lists.
	Turn     int    `json:"turn,omitempty"`
	Settings string `json:"settings,omitempty"` // that the picture was made with, as in a Plan
	Version  int    `json:"version,omitempty"`  // what {version} stands for
	// Processor is the kind of processor, as GOARCH names it, that made a picture whose masks
	// search for its edges: builds for others may differ at single pixels.
	Processor string `json:"processor,omitempty"`
	// Confidence is how likely the masks' outlines are right that follow the picture to the
	// frame, in [0,1]: that of the least likely; "" where none does.
	Confidence json.Number `json:"confidence,omitempty"`
	// Outdated marks what lies beside pictures that were made anew since.
	Outdated bool `json:"outdated,omitempty"`
	// Skipped says why the frame has no picture: its footage cannot be read. Such an entry
	// has no size and no checksum.
	Skipped string `json:"skipped,omitempty"`
	// Empty tells of what Run returns which mattes keep nothing: their pictures are black.
	Empty bool `json:"-"`
}

// print is what a line says of a file's bytes.
func (e Entry) print() study.Footage { return study.Footage{Size: e.Size, SHA256: e.SHA256} }

// madeAs reports whether two entries are of files made alike: of the same kind, settings
// and footage.
func (e Entry) madeAs(old Entry) bool {
	return e.Digest == old.Digest && e.Kind == old.Kind && e.Source == old.Source
}

// A manifest is an output folder's list: the file that an export writes, and what
// others in the folder say. Its methods may be called from several goroutines.
type manifest struct {
	path string   // of the own file
	root *os.Root // its folder, once that is written to: where it is moved, nothing is written in its place

	mu       sync.Mutex
	entries  map[string]Entry   // those that count, by name
	own      map[string]Entry   // those of the own file that count in it
	written  map[string][]Entry // all lines of a name, those of the own file as they follow
	ownLines map[string][]Entry // those of the own file
	plans    []Plan             // of all files
	planned  []Plan             // of the own file
	lines    int                // of the own file with an entry, also where a later one counts
	torn     bool               // the own file's last line was cut
	cut      []string           // files whose last line was cut

	seen map[string]fs.FileInfo // by name: see saw
}

// openManifest reads a folder's manifests; an export goes on to write the one
// called name. Where there are none it is empty.
func openManifest(folder, name string) (*manifest, error) {
	m := &manifest{
		path:    filepath.Join(folder, name),
		entries: map[string]Entry{}, own: map[string]Entry{}, ownLines: map[string][]Entry{}, written: map[string][]Entry{}, seen: map[string]fs.FileInfo{},
	}
	names, err := manifestsIn(folder)
	if err != nil {
		return nil, err
	}
	for _, n := range names {
		if err := m.readFile(filepath.Join(folder, n), n == name); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// manifestsIn lists the manifests of a folder, which may be missing.
func manifestsIn(folder string) (names []string, err error) {
	files, err := os.ReadDir(filepath.Clean(folder))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("export: manifest cannot be read: %w", err)
	}
	for _, f := range files {
		if !isManifest(f.Name()) {
			continue
		}
		names = append(names, f.Name())
	}
	return names, nil
}

func (m *manifest) readFile(path string, own bool) error {
	f, _, err := regular.Open(path)
	if err != nil {
		return fmt.Errorf("export: manifest cannot be read: %w", err)
	}
	defer f.Close()
	torn, err := readLines(f, path, func(l line) {
		switch {
		case l.Plan != nil:
			m.learnPlan(*l.Plan, own)
		default:
			m.learn(l.Entry, own)
		}
	})
	m.torn = m.torn || torn && own
	if torn {
		m.cut = append(m.cut, path)
	}
	return err
}

// A line of a manifest is an entry or a plan.
type line struct {
	Entry
	Plan *Plan `json:"plan"`
}

// readLines takes in lines. A last one without an end was cut when its writer was
// killed: it is left out.
func readLines(r io.Reader, file string, learn func(line)) (torn bool, err error) {
	lines := bufio.NewReader(r)
	for n := 1; ; n++ {
		text, err := lines.ReadBytes('\n')
		if errors.Is(err, io.EOF) {
			return len(text) > 0, nil
		}
		if err != nil {
			return false, fmt.Errorf("export: %s: line %d cannot be read: %w", file, n, err)
		}
		if len(bytes.TrimSpace(text)) == 0 {
			continue
		}
		var l line
		if err := json.Unmarshal(text, &l); err != nil {
			return false, lineError(file, n, noEntry)
		}
		if problem := l.problem(); problem != "" {
			return false, lineError(file, n, problem)
		}
		learn(l)
	}
}

const noEntry = `is no entry of a manifest, want {"name": ..., "sha256": ...}`

// lineError says what is wrong with a line, and the way out.
func lineError(file string, n int, problem string) error {
	return fmt.Errorf("export: %s: line %d %s: remove that line, then export again with files whose bytes are right adopted (--adopt on the command line)", file, n, problem)
}

// problem says what is wrong with a line, "" for nothing.
func (l line) problem() string {
	switch {
	case l.Plan != nil:
		if p := l.Plan.problem(); p != "" {
			return "is no plan that an export writes: " + p
		}
	case l.Name == "":
		return noEntry
	case !filepath.IsLocal(filepath.FromSlash(l.Name)) || path.Clean(l.Name) != l.Name || strings.ContainsAny(l.Name, reserved):
		return fmt.Sprintf("names %q, want the name of a file within the folder", l.Name)
	}
	return ""
}

func (m *manifest) learn(e Entry, own bool) {
	if old, ok := m.entries[e.Name]; !ok || e.Turn >= old.Turn {
		m.entries[e.Name] = e
	}
	if own {
		m.own[e.Name] = e
		m.ownLines[e.Name] = append(m.ownLines[e.Name], e)
		m.lines++
	}
	m.written[e.Name] = append(m.written[e.Name], e)
}

// entry returns what counts for a name.
func (m *manifest) entry(name string) (e Entry, known bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	e, known = m.entries[name]
	return e, known
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
	m.mu.Lock()
	list := m.written[name]
	m.mu.Unlock()
	if !info.Mode().IsRegular() || !slices.ContainsFunc(list, func(e Entry) bool { return e.Size == info.Size() }) {
		return study.Footage{Size: info.Size()}, false, nil
	}
	print, err = study.MeasureWhole(ctx, path)
	m.saw(name, info)
	return print, slices.ContainsFunc(list, func(e Entry) bool { return e.print() == print }), err
}

// saw notes what the system said of a file before its bytes were read for the last time,
// or before it got its name: it tells whether somebody changed it since.
func (m *manifest) saw(name string, info fs.FileInfo) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.seen[name] = info
}

// asSeen reports whether a file is as it was when saw noted it.
func (m *manifest) asSeen(name string, now fs.FileInfo) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	old := m.seen[name]
	return old != nil && os.SameFile(old, now) && old.Size() == now.Size() && old.ModTime().Equal(now.ModTime())
}

// measured reads a file, and returns what the system said of it before.
func measured(ctx context.Context, path string) (fs.FileInfo, study.Footage, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, study.Footage{}, err
	}
	print, err := study.MeasureWhole(ctx, path)
	return info, print, err
}

// add appends an entry, at once and as one line, so that several exports may
// write into one folder at the same time. It returns the entry with its turn.
func (m *manifest) add(ctx context.Context, e Entry) (Entry, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	e.Turn = m.turn(e.Name)
	if err := m.append(ctx, e); err != nil {
		return e, fmt.Errorf("export: manifest entry of %s: %w", e.Name, err)
	}
	m.learn(e, true)
	return e, nil
}

// turn returns that of a name's next line in the own file.
func (m *manifest) turn(name string) int {
	current, known := m.entries[name]
	own, ours := m.own[name]
	switch {
	case !known:
		return 0
	case ours && own.Turn == current.Turn:
		return own.Turn
	}
	return current.Turn + 1
}

func sortedByName(entries map[string]Entry) []Entry {
	return slices.SortedFunc(maps.Values(entries), func(a, b Entry) int { return cmp.Compare(a.Name, b.Name) })
}
