//go:build unix

package batch

import (
	"bytes"
	"context"
	"errors"
	"image/png"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// childStudy names the study that a child process exports over and over, into
// the folder beside it, until it is killed.
const childStudy = "HALOCLINE_TEST_EXPORT"

func TestMain(m *testing.M) {
	if path := os.Getenv(childStudy); path != "" {
		for {
			for _, kind := range []string{"matte", "pick", "mask", "base"} {
				var out bytes.Buffer
				if Run(context.Background(), []string{"export", path, "--out", path + ".out", "--kind", kind}, &out, os.Stderr) != succeeded {
					os.Exit(3)
				}
			}
		}
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
	for range kills(t) {
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), childStudy+"="+fit.Study)
		require.NoError(t, child.Start())
		time.Sleep(time.Duration(20+rng.IntN(250)) * time.Millisecond)
		require.NoError(t, child.Process.Kill())
		var exit *exec.ExitError
		require.ErrorAs(t, child.Wait(), &exit)
		require.Equal(t, syscall.SIGKILL, exit.Sys().(syscall.WaitStatus).Signal(), "the child itself must not fail")

		_, err := study.Load(fit.Study)
		require.NoError(t, err)
		checkPictures(t, out)
		result[exportReport](t, "export", fit.Study, "--out", out)
	}
	result[verifyReport](t, "verify", out)
	t.Logf("%d kills, %d of them in the middle of a file", kills(t), countParts(t, out))
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
