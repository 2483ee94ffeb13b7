//go:build unix

package batch

import (
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// What is no regular file is refused wherever a verb opens one, in a line that says
// what it is and what is wanted, and nobody waits for a writer.
func TestInputsThatAreNoFiles(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	folder, err := os.MkdirTemp("", "h") // a socket's path must be short
	require.NoError(t, err)
	t.Cleanup(func() { _ = os.RemoveAll(folder) })
	at := func(name string) string { return filepath.Join(folder, name) }

	makers := map[string]func(path string){
		"a named pipe": func(path string) { require.NoError(t, syscall.Mkfifo(path, 0o666)) },
		"a socket": func(path string) {
			l, err := net.Listen("unix", path)
			require.NoError(t, err)
			t.Cleanup(func() { _ = l.Close() })
		},
		"a device": func(path string) { require.NoError(t, os.Symlink("/dev/zero", path)) },
		"a folder": func(path string) { require.NoError(t, os.Mkdir(path, 0o777)) },
	}
	const picture, aStudy, aCDL = "a PNG, JPEG, TIFF, BMP or WebP picture", "a study file", "a file of ASC CDL XML"
	n := 0
	for is, create := range makers {
		make := func(ending string) string {
			n++
			path := at(string(rune('a'+n%26)) + string(rune('a'+n/26)) + ending)
			create(path)
			return path
		}
		calls := []struct{ call, want string }{
			{"info " + make(".halocline"), aStudy},
			{"export " + make(".halocline") + " --out " + b.at("out"), aStudy},
			{"check " + make(".halocline"), aStudy},
			{"base " + make(".halocline") + " --matrix bt709", aStudy},
			{"fit " + b.picture + " --keep " + make(".png"), picture},
			{"fit " + b.picture + " --keep " + b.keep + " --drop " + make(".png"), picture},
			{"separation " + b.picture + " --keep " + make(".png") + " --drop " + b.drop, picture},
			{"score " + make(".png") + " --truth " + b.truth, picture},
			{"score " + b.truth + " --truth " + make(".png"), picture},
			{"cdl " + fit.Study + " --matte skin --file " + make(".cc"), aCDL},
		}
		if is != "a folder" { // which is a sequence there
			calls = append(calls, []struct{ call, want string }{
				{"info " + make(".png"), picture},
				{"info " + make(".mkv"), picture},
				{"info " + make(".0001.png") + " --sequence", "a folder of numbered pictures, or one of them"},
				{"check " + fit.Study + " --matte skin --truth " + make(".png"), "a folder of numbered pictures, or one of them"},
			}...)
		}
		for _, c := range calls {
			refusedAtOnce(t, c.call, " is "+is+", want "+c.want)
		}
	}
	require.NoFileExists(t, b.at("out"))
}

// refusedAtOnce asserts that a call fails soon, with one line.
func refusedAtOnce(t *testing.T, call, says string) {
	t.Helper()
	type end struct {
		status         int
		stdout, stderr string
	}
	done := make(chan end, 1)
	go func() {
		status, stdout, stderr := run(t, strings.Fields(call)...)
		done <- end{status, stdout, stderr}
	}()
	select {
	case e := <-done:
		assert.Equal(t, failed, e.status, call)
		assert.Empty(t, e.stdout, call)
		assert.Contains(t, e.stderr, says, call)
		assert.Equal(t, 1, strings.Count(e.stderr, "\n"), "one line: %s", e.stderr)
	case <-time.After(10 * time.Second):
		t.Fatalf("%s: it waits", call)
	}
}

// Frames of a sequence, and the footage of a study, that are pipes by now are refused
// too.
func TestFootageThatBecameAPipe(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, 1, 2, 3), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	s, err := study.Load(fit.Study)
	require.NoError(t, err)
	pipe := func(path string) {
		require.NoError(t, os.Remove(path))
		require.NoError(t, syscall.Mkfifo(path, 0o666))
	}
	pipe(b.at("dive/dive.0002.png"))
	refusedAtOnce(t, "export "+fit.Study+" --out "+b.at("out"), "a named pipe, want a PNG")
	pipe(s.Clip.Path)
	refusedAtOnce(t, "export "+fit.Study+" --out "+b.at("out"), "a named pipe), want a file of")
	s.Clip.Size = 0 // as the pipe has
	s.Clip.SHA256 = strings.Repeat("0", 64)
	require.NoError(t, study.Save(fit.Study, s))
	refusedAtOnce(t, "export "+fit.Study+" --out "+b.at("out"), "a named pipe), want a file of")
	told := result[studyInfo](t, "info", fit.Study)
	require.Contains(t, told.Found, "it is a named pipe")
}
