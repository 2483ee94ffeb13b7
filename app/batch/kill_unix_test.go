//go:build unix

package batch

import (
	"context"
	"errors"
	"image/png"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// childStudy names the study that a child process exports over and over, into
// the folder beside it, until it is killed; childOnce one that it exports once.
const (
	childStudy = "HALOCLINE_TEST_EXPORT"
	childOnce  = "HALOCLINE_TEST_EXPORT_ONCE"
	childFlags = "HALOCLINE_TEST_EXPORT_FLAGS" // more of its flags
	childVerb  = "HALOCLINE_TEST_VERB"         // a verb with its arguments, one a line, that ends by signals as the program does
	childMain  = "HALOCLINE_TEST_MAIN"         // the child is the program itself, with the arguments it is given
)

var childKinds = []string{"matte", "pick", "mask", "base"}

func TestMain(m *testing.M) {
	if os.Getenv(childMain) != "" {
		os.Exit(Main(os.Args[1:], os.Stdout, os.Stderr))
	}
	if path := os.Getenv(childOnce); path != "" {
		args := append([]string{"export", path, "--out", path + ".out"}, strings.Fields(os.Getenv(childFlags))...)
		os.Exit(Run(context.Background(), args, io.Discard, os.Stderr))
	}
	if path := os.Getenv(childStudy); path != "" {
		for depth := 8; ; depth = 24 - depth { // or the second round would leave what is there
			for _, kind := range childKinds {
				if Run(context.Background(), []string{"export", path, "--out", path + ".out", "--kind", kind, "--depth", strconv.Itoa(depth)}, io.Discard, os.Stderr) != succeeded {
					os.Exit(3)
				}
			}
		}
	}
	if verb := os.Getenv(childVerb); verb != "" {
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
		defer stop()
		os.Exit(Run(ctx, strings.Split(verb, "\n"), os.Stdout, os.Stderr))
	}
	os.Exit(m.Run())
}

// kills is how many times an export is killed; HALOCLINE_KILLS asks for more.
func kills(t *testing.T) int {
	if n, err := strconv.Atoi(os.Getenv("HALOCLINE_KILLS")); err == nil {
		return n
	}
	if testing.Short() {
		return 3
	}
	return 12
}

// An export killed at any moment leaves no half file under a final name, and a
// folder into which the next export works without being told to overwrite.
func TestKilledExport(t *testing.T) {
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	out := fit.Study + ".out"
	rng := rand.New(rand.NewPCG(9, 9))
	var said strings.Builder
	for range kills(t) {
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), childStudy+"="+fit.Study)
		child.Stderr = &said
		require.NoError(t, child.Start())
		time.Sleep(time.Duration(20+rng.IntN(250)) * time.Millisecond)
		kill(t, child, &said)

		_, err := study.Load(fit.Study)
		require.NoError(t, err)
		checkPictures(t, out)
		result[exportReport](t, "export", fit.Study, "--out", out)
	}
	for _, kind := range childKinds { // the last kill may have left a new line and an old file
		result[exportReport](t, "export", fit.Study, "--out", out, "--kind", kind)
	}
	result[verifyReport](t, "verify", out)
	assert.Zero(t, countParts(t, out), "what the dead left half written goes at the next run")
}

// kill kills a child that is at work. It must not have failed before: said is what
// it wrote to its standard error.
func kill(t *testing.T, child *exec.Cmd, said *strings.Builder) {
	t.Helper()
	require.NoError(t, child.Process.Kill())
	var exit *exec.ExitError
	require.ErrorAs(t, child.Wait(), &exit)
	require.Equal(t, syscall.SIGKILL, exit.Sys().(syscall.WaitStatus).Signal(), "the child itself must not fail: %s", said)
}

// An export of a sequence that is killed goes on where it was: the next run makes
// no picture again that is whole, and what is there at the end is, byte for byte,
// what one run makes.
func TestKilledSequenceGoesOn(t *testing.T) {
	const frames = 40
	b := newBeach(t)
	folder := b.sequence(t, span(1, frames)...)
	fit := result[fitReport](t, "fit", folder, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	whole := b.at("whole")
	require.Len(t, result[exportReport](t, "export", fit.Study, "--out", whole).Files, frames)

	out := fit.Study + ".out"
	rng := rand.New(rand.NewPCG(5, 5))
	left := 0
	var said strings.Builder
	for range max(2, kills(t)/8) {
		require.NoError(t, os.RemoveAll(out))
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), childOnce+"="+fit.Study)
		child.Stderr = &said
		require.NoError(t, child.Start())
		require.Eventually(t, func() bool { return len(pictures(t, out)) > 0 }, 20*time.Second, time.Millisecond)
		time.Sleep(time.Duration(rng.IntN(60)) * time.Millisecond)
		kill(t, child, &said)
		checkPictures(t, out)
		before := pictures(t, out)
		require.Less(t, len(before), frames)
		long := time.Now().Add(-time.Hour).Truncate(time.Second)
		for _, path := range before {
			require.NoError(t, os.Chtimes(path, long, long))
		}
		result[exportReport](t, "export", fit.Study, "--out", out)
		require.Equal(t, frames, result[verifyReport](t, "verify", out).Good)
		for _, path := range before {
			info, err := os.Stat(path)
			require.NoError(t, err)
			require.True(t, info.ModTime().Equal(long), "%s was whole", path)
			left++
		}
		requireSameFiles(t, whole, out)
	}
	require.Positive(t, left)
}

// countParts counts the files that were left half written, under no final name.
func countParts(t *testing.T, folder string) (n int) {
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if part, _ := filepath.Match(study.PartPattern, filepath.Base(path)); part {
			n++
		}
		return err
	})
	require.NoError(t, err)
	return n
}

// checkPictures decodes every PNG file under a final name.
func checkPictures(t *testing.T, folder string) {
	err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) || d.IsDir() || filepath.Ext(path) != ".png" {
			return nil
		}
		f, err := os.Open(path)
		require.NoError(t, err)
		defer f.Close()
		_, err = png.Decode(f)
		require.NoError(t, err, path)
		return nil
	})
	require.NoError(t, err)
}
