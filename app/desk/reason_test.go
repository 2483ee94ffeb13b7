package desk

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// The reason is in the line, however long the path; so are the file's name and, where there
// is room, the folders that it begins with.
func TestReasonsStayInOneLine(t *testing.T) {
	long := "/films/" + strings.Repeat("a long folder/", 8) + "transect.halocline"
	for _, c := range []struct {
		err  error
		n    int
		want string
	}{
		{fmt.Errorf("study: cannot write, permission denied: %s", long), 60, "cannot write, permission denied: /films/…/transect.halocline"},
		{fmt.Errorf("study: cannot write, permission denied: %s", long), 40, "cannot write, permission denied: transe…"},
		{fmt.Errorf("study: %s: line 1, column 2: the file ends in the middle", long), 75, "/films/a…/transect.halocline: line 1, column 2: the file ends in the middle"},
		{fmt.Errorf("work: study: the footage has one frame: %s", "/a b/c.png"), 60, "the footage has one frame: /a b/c.png"},
		{errors.Join(errors.New("study: one"), errors.New("two")), 60, "one; two"},
		{fmt.Errorf("clip: %s", strings.Repeat("word ", 9)), 20, "word word word word…"},
	} {
		got := OneLine(c.err, c.n)
		if runtime.GOOS != "windows" { // whose paths have other separators
			assert.Equal(t, c.want, got)
		}
		assert.LessOrEqual(t, len([]rune(got)), c.n)
	}
	assert.Empty(t, Problem{What: "Not saved"}.Reason(40))
}

// The file is not named twice.
func TestReasonsWithoutTheFile(t *testing.T) {
	err := errors.New("clip: /films/reef/empty: a folder without numbered pictures")
	assert.Equal(t, "a folder without numbered pictures", Problem{What: "Not opened: empty", Err: err}.Reason(60))
	assert.Equal(t, "/films/reef/empty: a folder without numbered pictures", Problem{What: "Not opened: shot", Err: err}.Reason(60))
	assert.Equal(t, "line 2: the file ends", Problem{What: "Not opened: a.halocline", Err: errors.New("study: a.halocline: line 2: the file ends")}.Reason(60))
}

// Nothing that goes wrong with a study's file loses its reason in a line of 80.
func TestReasonsOfAFileThatCannotBeSaved(t *testing.T) {
	r := newRig(t, 1)
	folder := filepath.Join(t.TempDir(), strings.Repeat("folder", 20))
	require.NoError(t, os.Mkdir(folder, 0o755))
	path := filepath.Join(folder, "transect"+study.Ending)
	for reason, err := range map[string]error{
		"no such file or directory": r.SaveTo(filepath.Join(folder, "none", "a"+study.Ending)),
		"it is a folder":            r.SaveTo(folder),
		"it is read-only": func() error {
			require.NoError(t, os.WriteFile(path, nil, 0o444))
			return r.SaveTo(path)
		}(),
	} {
		require.Error(t, err)
		line := Problem{Err: err}.Reason(80)
		if runtime.GOOS != "windows" {
			assert.Contains(t, line, reason)
		}
		assert.LessOrEqual(t, len([]rune(line)), 80)
	}
}

func TestCapital(t *testing.T) {
	for text, want := range map[string]string{"": "", "the mask": "The mask", "/films": "/films", "über": "Über", "3 dabs": "3 dabs"} {
		assert.Equal(t, want, Capital(text))
	}
}
