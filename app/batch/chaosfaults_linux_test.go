package batch

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A chaosFault does something to the world, and reports whether it could.
type chaosFault struct {
	name    string
	do      func(w *chaosWorld, t *testing.T) bool
	footage bool // it is about the footage: which frames an export finds depends on when it looks
	place   bool // it is about the folder's place
}

func chaosFaults() []chaosFault {
	all := []chaosFault{
		{name: "folder moved", do: folderMoved, place: true},
		{name: "folder removed", do: folderRemoved, place: true},
		{name: "folder replaced", do: folderReplaced, place: true},
		{name: "folder of a matte made a link that leads out", do: matteLinked},
		{name: "shard lost", do: shardLost},
		{name: "disk full", do: diskFull},
		{name: "disk has room again", do: diskRoomy},
		{name: "frame of the footage cut", do: footageCut, footage: true},
		{name: "frame of the footage removed", do: footageRemoved, footage: true},
		{name: "footage restored", do: footageRestored, footage: true},
	}
	for name, change := range fileFaults {
		all = append(all, chaosFault{name: "file " + name, do: func(w *chaosWorld, t *testing.T) bool { return w.spoilFile(t, change) }})
	}
	for name, change := range manifestFaults {
		all = append(all, chaosFault{name: "manifest " + name, do: func(w *chaosWorld, t *testing.T) bool { return w.spoilManifest(t, name, change) }})
	}
	slices.SortFunc(all, func(a, b chaosFault) int { return strings.Compare(a.name, b.name) }) // the same for a seed
	return all
}

// anyPicture is one of the folder's pictures, "" for none.
func (w *chaosWorld) anyPicture(t *testing.T) string {
	list := slices.DeleteFunc(pictures(t, w.out), func(path string) bool { return strings.HasPrefix(filepath.Base(path), ".") })
	if len(list) == 0 {
		return ""
	}
	return list[w.rng.IntN(len(list))]
}

// fileFaults are what may befall one file: its new bytes, nil for none.
var fileFaults = map[string]func(w *chaosWorld, t *testing.T, text []byte) []byte{
	"removed":   func(*chaosWorld, *testing.T, []byte) []byte { return nil },
	"emptied":   func(*chaosWorld, *testing.T, []byte) []byte { return []byte{} },
	"cut short": func(w *chaosWorld, _ *testing.T, text []byte) []byte { return text[:w.rng.IntN(len(text)+1)] },
	"retouched, as long as it was": func(w *chaosWorld, _ *testing.T, text []byte) []byte {
		for i := range text[len(text)/2 : min(len(text), len(text)/2+8)] {
			text[len(text)/2+i] ^= byte(1 + w.rng.IntN(255))
		}
		return text
	},
	"replaced by another": func(w *chaosWorld, t *testing.T, text []byte) []byte {
		other, err := os.ReadFile(w.anyPicture(t))
		require.NoError(t, err)
		return other
	},
	"replaced by something else": func(*chaosWorld, *testing.T, []byte) []byte { return []byte("no picture at all") },
}

func (w *chaosWorld) spoilFile(t *testing.T, change func(*chaosWorld, *testing.T, []byte) []byte) bool {
	path := w.anyPicture(t)
	text, err := os.ReadFile(path)
	if path == "" || err != nil {
		return false
	}
	now := change(w, t, slices.Clone(text))
	time.Sleep(10 * time.Millisecond) // a file's time has steps of some milliseconds: the change gets one of its own
	w.tell("  %s", path)
	switch {
	case now == nil:
		require.NoError(t, os.Remove(path))
	case bytes.Equal(now, text):
		return false
	default:
		w.spoilt[sha256.Sum256(now)] = true
		require.NoError(t, os.WriteFile(path, now, 0o666))
	}
	if other := w.anyPicture(t); len(now) > 100 && w.rng.IntN(2) == 0 { // two swapped
		next := path + ".swap"
		require.NoError(t, os.Rename(other, next))
		if other != path {
			require.NoError(t, os.Rename(path, other))
		}
		require.NoError(t, os.Rename(next, path))
		w.tell("  swapped with %s", other)
	}
	return true
}

// manifestFaults are what may befall a manifest: its new text, nil for none.
var manifestFaults = map[string]func(w *chaosWorld, text string) []byte{
	"removed":               func(*chaosWorld, string) []byte { return nil },
	"emptied":               func(*chaosWorld, string) []byte { return []byte{} },
	"cut":                   func(w *chaosWorld, text string) []byte { return []byte(text[:w.rng.IntN(len(text)+1)]) },
	"with zeros at its end": func(_ *chaosWorld, text string) []byte { return append([]byte(text), make([]byte, 40)...) },
	"with a line removed": func(w *chaosWorld, text string) []byte {
		return w.changeLine(text, func(string) string { return "" })
	},
	"with a line twice": func(w *chaosWorld, text string) []byte {
		return w.changeLine(text, func(line string) string { return line + line })
	},
	"with a line garbled": func(w *chaosWorld, text string) []byte {
		return w.changeLine(text, func(line string) string { return strings.Repeat("#", len(line)/2) + line[len(line)/2:] })
	},
	"with a line cut": func(w *chaosWorld, text string) []byte {
		return w.changeLine(text, func(line string) string { return line[:w.rng.IntN(len(line))] + "\n" })
	},
	"with two lines as one": func(w *chaosWorld, text string) []byte {
		return w.changeLine(text, func(line string) string { return strings.TrimSpace(line) })
	},
	"with a wrong checksum": func(w *chaosWorld, text string) []byte { return w.changeDigit(text, `"sha256":"`) },
	"with wrong settings":   func(w *chaosWorld, text string) []byte { return w.changeDigit(text, `"settings":"`) },
	"with a wrong plan":     func(w *chaosWorld, text string) []byte { return w.changeDigit(text, `"frames":["`) },
	"with a wrong size":     func(w *chaosWorld, text string) []byte { return w.changeDigit(text, `"size":`) },
}

// changeLine changes one line, which has its end.
func (w *chaosWorld) changeLine(text string, change func(string) string) []byte {
	lines := strings.SplitAfter(text, "\n")
	i := w.rng.IntN(len(lines))
	if lines[i] != "" {
		lines[i] = change(lines[i])
	}
	return []byte(strings.Join(lines, ""))
}

// changeDigit changes the first digit after one of the places where a word stands.
func (w *chaosWorld) changeDigit(text, word string) []byte {
	parts := strings.Split(text, word)
	if i := w.rng.IntN(len(parts)); i > 0 && parts[i] != "" {
		digit := "1"
		if strings.HasPrefix(parts[i], digit) {
			digit = "2"
		}
		parts[i] = digit + parts[i][1:]
	}
	return []byte(strings.Join(parts, word))
}

func (w *chaosWorld) anyManifest(t *testing.T) string {
	all, err := filepath.Glob(filepath.Join(w.out, "manifest*.jsonl"))
	require.NoError(t, err)
	if len(all) == 0 {
		return ""
	}
	return all[w.rng.IntN(len(all))]
}

func (w *chaosWorld) spoilManifest(t *testing.T, name string, change func(*chaosWorld, string) []byte) bool {
	path := w.anyManifest(t)
	text, err := os.ReadFile(path)
	if path == "" || err != nil {
		return false
	}
	now := change(w, string(text))
	w.tell("  %s", path)
	switch {
	case now == nil:
		require.NoError(t, os.Remove(path))
	case bytes.Equal(now, text):
		return false
	default:
		require.NoError(t, os.WriteFile(path, now, 0o666))
	}
	return true
}

func shardLost(w *chaosWorld, t *testing.T) bool {
	all, err := filepath.Glob(filepath.Join(w.out, "manifest.*-of-*.jsonl"))
	require.NoError(t, err)
	if len(all) == 0 {
		return false
	}
	path := all[w.rng.IntN(len(all))]
	text := w.bytesOf(t, path)
	require.NoError(t, os.Remove(path))
	if w.rng.IntN(2) == 0 { // with its files
		for line := range strings.Lines(text) {
			if _, rest, named := strings.Cut(line, `{"name":"`); named {
				name, _, _ := strings.Cut(rest, `"`)
				_ = os.Remove(filepath.Join(w.out, name))
			}
		}
	}
	return true
}

func folderMoved(w *chaosWorld, t *testing.T) bool {
	w.moves++
	to := filepath.Join(w.disk, fmt.Sprintf("moved-%d", w.moves))
	if os.Rename(w.out, to) != nil {
		return false
	}
	w.moved = to
	return true
}

func folderRemoved(w *chaosWorld, t *testing.T) bool {
	if _, err := os.Stat(w.out); err != nil {
		return false
	}
	require.NoError(t, os.RemoveAll(w.out))
	return true
}

// folderReplaced puts another folder in the place of the one that is exported to.
func folderReplaced(w *chaosWorld, t *testing.T) bool {
	if !folderMoved(w, t) {
		return false
	}
	require.NoError(t, os.MkdirAll(filepath.Join(w.out, "skin"), 0o777))
	require.NoError(t, os.WriteFile(filepath.Join(w.out, "notes.txt"), []byte("somebody's"), 0o666))
	return true
}

func matteLinked(w *chaosWorld, t *testing.T) bool {
	path := filepath.Join(w.out, "skin")
	if _, err := os.Lstat(path); err != nil || isLink(path) {
		return false
	}
	require.NoError(t, os.RemoveAll(path))
	require.NoError(t, os.Symlink(w.at("beside"), path))
	return true
}

// diskFull leaves the small disk a few kilobytes of room.
func diskFull(w *chaosWorld, t *testing.T) bool {
	var now syscall.Statfs_t
	if !w.mounted || syscall.Statfs(w.disk, &now) != nil {
		return false
	}
	used := (int64(now.Blocks) - int64(now.Bfree)) * now.Bsize
	w.resize(t, fmt.Sprint(used+now.Bsize*int64(w.rng.IntN(8))))
	w.isFull = true
	return true
}

func diskRoomy(w *chaosWorld, t *testing.T) bool {
	if !w.isFull {
		return false
	}
	w.resize(t, "16m")
	w.isFull = false
	return true
}

func footageCut(w *chaosWorld, t *testing.T) bool {
	path := w.frame(1 + w.rng.IntN(chaosFrames))
	text := w.footage[path]
	if len(text) < 200 {
		return false
	}
	text = text[:100+w.rng.IntN(len(text)-100)]
	require.NoError(t, os.WriteFile(path, text, 0o666))
	w.footage[path] = text
	return true
}

func footageRemoved(w *chaosWorld, t *testing.T) bool {
	path := w.frame(1 + w.rng.IntN(chaosFrames))
	if w.footage[path] == nil {
		return false
	}
	require.NoError(t, os.Remove(path))
	w.footage[path] = nil
	return true
}

func footageRestored(w *chaosWorld, t *testing.T) bool {
	damaged := false
	for path, text := range w.masters {
		if !bytes.Equal(w.footage[path], text) {
			require.NoError(t, os.WriteFile(path, text, 0o666))
			w.footage[path] = text
			damaged = true
		}
	}
	return damaged
}
