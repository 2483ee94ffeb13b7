package export

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"halocline/app/study"
)

// A Fault is what is wrong with one file of a folder.
type Fault struct {
	Name  string `json:"name"`
	Found string `json:"found"`
	Want  string `json:"want"`
}

// Verify compares a folder with its manifest: every file it lists must be there
// and have the bytes that were written. It returns how many are, and the faults.
// A folder without a manifest is an error.
func Verify(ctx context.Context, folder string) (good int, faults []Fault, err error) {
	m, err := openManifest(folder)
	if err != nil {
		return 0, nil, err
	}
	if len(m.entries) == 0 {
		return 0, nil, fmt.Errorf("export: %s is missing or lists nothing, want a folder that an export has written", m.path)
	}
	for _, e := range m.sorted() {
		found, err := study.Measure(ctx, filepath.Join(folder, filepath.FromSlash(e.Name)))
		want := fmt.Sprintf("%d bytes, sha256 %s", e.Size, e.SHA256)
		switch {
		case ctx.Err() != nil:
			return good, faults, ctx.Err()
		case errors.Is(err, fs.ErrNotExist):
			faults = append(faults, Fault{e.Name, "no such file", want})
		case err != nil:
			faults = append(faults, Fault{e.Name, err.Error(), want})
		case found.Size != e.Size || found.SHA256 != e.SHA256:
			faults = append(faults, Fault{e.Name, fmt.Sprintf("%d bytes, sha256 %s", found.Size, found.SHA256), want})
		default:
			good++
		}
	}
	return good, faults, nil
}
