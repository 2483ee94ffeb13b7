package export

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"halocline/app/study"
)

// WriteFile makes the file at path from what encode writes, and its folder
// where that is missing. Under that name there is never half a picture
// (study.WriteBeside).
func WriteFile(path string, encode func(io.Writer) error) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return fmt.Errorf("export: no folder for %s: %w", path, err)
	}
	return study.WriteBeside(path, encode)
}
