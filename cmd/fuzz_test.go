package cmd_test

import (
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// fuzzTargets are the repository's, as "folder Name".
func fuzzTargets(t *testing.T) (all []string) {
	t.Helper()
	declared := regexp.MustCompile(`(?m)^func (Fuzz\w*)\(`)
	err := filepath.WalkDir("..", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(name, "_test.go") {
			return err
		}
		text, err := os.ReadFile(name)
		for _, m := range declared.FindAllSubmatch(text, -1) {
			all = append(all, strings.TrimPrefix(path.Dir(filepath.ToSlash(name)), "../")+" "+string(m[1]))
		}
		return err
	})
	require.NoError(t, err)
	slices.Sort(all)
	return all
}

// DEVELOPERS.md lists every fuzz target, and no other, under its package.
func TestDevelopersKnowEveryFuzzTarget(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "DEVELOPERS.md"))
	require.NoError(t, err)
	var listed []string
	for _, row := range regexp.MustCompile("(?m)^\\| ([a-z/]+) \\| (`Fuzz.*`) \\|$").FindAllStringSubmatch(string(text), -1) {
		for name := range strings.SplitSeq(row[2], ", ") {
			listed = append(listed, row[1]+" "+strings.Trim(name, "`"))
		}
	}
	slices.Sort(listed)
	require.Greater(t, len(listed), 10)
	require.Equal(t, fuzzTargets(t), listed)
}
