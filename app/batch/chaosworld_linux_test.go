package batch

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// chaosFrames is how many frames the footage has that is exported.
const chaosFrames = 14

// A chaosWorld is footage, studies of it and a folder that is exported to, with what the
// harness did to them.
type chaosWorld struct {
	dir, disk, out    string
	main, other       string // studies of the same footage, of unlike settings
	rng               *rand.Rand
	figures           chaosFigures
	footage           map[string][]byte // what the footage's files should hold, by path
	masters           map[string][]byte // what they held at first
	outside           map[string][]byte // files that nobody may touch
	spoilt            map[[32]byte]bool // contents that the harness put under pictures' names
	whole             map[string]string // folders of undisturbed exports, by what the study held
	moved             string            // where the folder was moved to, "" for nowhere
	mounted, isFull   bool
	peaceful          bool // no faults in this round
	placeTaken        bool // something befell the place of the folder while exports ran
	logs, moves, made int
	history           []string
}

// chaosFigures counts what was done, by kind.
type chaosFigures map[string]int

func (f chaosFigures) String() string {
	var names []string
	for name := range f {
		names = append(names, name)
	}
	slices.Sort(names)
	var b strings.Builder
	for _, name := range names {
		fmt.Fprintf(&b, "\n%6d %s", f[name], name)
	}
	return b.String()
}

// newChaosWorld makes footage whose frames differ, a study with two mattes, another
// of other settings, and files beside them.
func newChaosWorld(t *testing.T, rng *rand.Rand, figures chaosFigures) *chaosWorld {
	t.Helper()
	b := newBeach(t)
	w := &chaosWorld{dir: b.folder, rng: rng, figures: figures, disk: b.at("disk"), out: b.at("disk/mattes"),
		footage: map[string][]byte{}, masters: map[string][]byte{}, outside: map[string][]byte{}, spoilt: map[[32]byte]bool{}, whole: map[string]string{}}
	require.NoError(t, os.Mkdir(w.disk, 0o777))
	w.shoot(t, b.picture)
	fit := result[fitReport](t, "fit", w.at("dive"), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	w.main, w.other = fit.Study, w.at("dive/other.halocline")
	result[fitReport](t, "fit", w.main, "--keep", b.drop, "--drop", b.keep, "--name", "sand")
	require.NoError(t, os.WriteFile(w.other, []byte(w.bytesOf(t, w.main)), 0o666))
	result[edgeResult](t, "edge", w.other, "--matte", "skin", "--soften", "3")
	result[edgeResult](t, "edge", w.other, "--matte", "sand", "--grow", "1")
	require.NoError(t, os.Mkdir(w.at("beside"), 0o777))
	for _, name := range []string{"beside/notes.txt", "beside/manifest.jsonl", "beside/dive-skin.000003.png", "truth.png", "keep.png", "drop.png", "dive.0007.png"} {
		if _, err := os.Stat(w.at(name)); err != nil {
			require.NoError(t, os.WriteFile(w.at(name), []byte("somebody's "+name), 0o666))
		}
		w.outside[w.at(name)] = []byte(w.bytesOf(t, w.at(name)))
	}
	if os.Geteuid() == 0 && rng.IntN(2) == 0 {
		w.mounted = syscall.Mount("tmpfs", w.disk, "tmpfs", 0, "size=16m") == nil
	}
	if w.mounted {
		t.Cleanup(func() { _ = syscall.Unmount(w.disk, syscall.MNT_DETACH) })
		w.figures["worlds on a small disk"]++
	}
	w.figures["worlds"]++
	return w
}

// shoot writes the footage: on each frame some of the skin lies elsewhere.
func (w *chaosWorld) shoot(t *testing.T, picture string) {
	t.Helper()
	still, err := png.Decode(strings.NewReader(w.bytesOf(t, picture)))
	require.NoError(t, err)
	for n := 1; n <= chaosFrames; n++ {
		frame := image.NewRGBA(still.Bounds())
		draw.Draw(frame, frame.Rect, still, image.Point{}, draw.Src)
		draw.Draw(frame, image.Rect(4*n, 42, 4*n+30, 57), still, image.Pt(60, 70), draw.Src)
		var text bytes.Buffer
		require.NoError(t, png.Encode(&text, frame))
		path := w.frame(n)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o777))
		require.NoError(t, os.WriteFile(path, text.Bytes(), 0o666))
		w.footage[path], w.masters[path] = text.Bytes(), text.Bytes()
	}
}

func (w *chaosWorld) at(name string) string { return filepath.Join(w.dir, name) }

func (w *chaosWorld) frame(n int) string { return w.at(fmt.Sprintf("dive/dive.%04d.png", n)) }

func (w *chaosWorld) bytesOf(t *testing.T, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(text)
}

// tell notes what the harness does, for who must find out why a round failed.
func (w *chaosWorld) tell(format string, a ...any) {
	w.history = append(w.history, fmt.Sprintf(format, a...))
}

// framesThere are the frames whose files are there.
func (w *chaosWorld) framesThere() (there []int) {
	for n := 1; n <= chaosFrames; n++ {
		if w.footage[w.frame(n)] != nil {
			there = append(there, n)
		}
	}
	return there
}

// mend undoes what the harness did to what an export cannot mend: footage, disk,
// links, and the place of the folder.
func (w *chaosWorld) mend(t *testing.T) {
	t.Helper()
	for path, text := range w.masters {
		if !bytes.Equal(w.footage[path], text) {
			require.NoError(t, os.WriteFile(path, text, 0o666))
			w.footage[path] = text
		}
	}
	w.resize(t, "16m")
	if w.moved != "" && w.rng.IntN(2) == 0 {
		require.NoError(t, os.RemoveAll(w.out))
		require.NoError(t, os.Rename(w.moved, w.out))
		w.moved = ""
		w.tell("the folder is put back")
	}
	for _, m := range []string{"skin", "sand"} {
		if path := filepath.Join(w.out, m); isLink(path) {
			require.NoError(t, os.Remove(path))
		}
	}
}

func isLink(path string) bool {
	info, err := os.Lstat(path)
	return err == nil && info.Mode()&fs.ModeSymlink != 0
}

// resize gives the small disk another size.
func (w *chaosWorld) resize(t *testing.T, size string) {
	t.Helper()
	if w.mounted {
		require.NoError(t, syscall.Mount("tmpfs", w.disk, "tmpfs", syscall.MS_REMOUNT, "size="+size))
	}
}

// outsideProblems says what was written or removed outside the folder.
func (w *chaosWorld) outsideProblems() (wrong []string) {
	want := map[string][]byte{}
	for path, text := range w.outside {
		want[path] = text
	}
	for path, text := range w.footage {
		if text != nil {
			want[path] = text
		}
	}
	_ = filepath.WalkDir(w.dir, func(path string, d fs.DirEntry, err error) error {
		switch part, _ := filepath.Match(study.PartPattern, filepath.Base(path)); {
		case err != nil:
			wrong = append(wrong, err.Error())
		case path == w.disk || strings.HasPrefix(filepath.Base(path), "whole-"):
			return fs.SkipDir
		case d.IsDir() || strings.HasPrefix(filepath.Base(path), "log-"):
		case strings.HasSuffix(path, study.Ending) || strings.HasSuffix(path, ".lock") || part: // looked at elsewhere
		default:
			now, err := os.ReadFile(path)
			if old, known := want[path]; !known || err != nil || !bytes.Equal(old, now) {
				wrong = append(wrong, path+" was written or changed")
			}
			delete(want, path)
		}
		return nil
	})
	for path := range want {
		wrong = append(wrong, path+" was removed")
	}
	return wrong
}

// halfPictures are the files under pictures' names that no reader can decode, but for those
// that the harness spoilt.
func (w *chaosWorld) halfPictures(t *testing.T) (half []string) {
	t.Helper()
	for _, path := range pictures(t, w.out) {
		if strings.HasPrefix(filepath.Base(path), ".") {
			continue
		}
		text, err := os.ReadFile(path)
		if err != nil {
			continue // a link to nowhere
		}
		if _, err := png.Decode(bytes.NewReader(text)); err != nil && !w.spoilt[sha256.Sum256(text)] {
			half = append(half, path)
		}
	}
	return half
}

// undisturbed is a folder with what an export of the main study writes that nothing
// befalls.
func (w *chaosWorld) undisturbed(t *testing.T) string {
	t.Helper()
	now := w.bytesOf(t, w.main)
	if w.whole[now] == "" {
		w.made++
		w.whole[now] = w.at(fmt.Sprintf("whole-%d", w.made))
		result[exportReport](t, "export", w.main, "--out", w.whole[now])
	}
	return w.whole[now]
}
