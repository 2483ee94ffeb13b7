package study

import (
	"crypto/sha256"
	"encoding/hex"
	"path/filepath"
)

// longestName is how many bytes a file's name may have on the file systems in use:
// NAME_MAX of Linux, and no more than the 255 UTF-16 units of NTFS and APFS.
const longestName = 255

// nextTo returns a file in the folder of path, with an ending added to its name.
// Where that name would be too long a digest stands in the place of path's.
func nextTo(path, ending string) string {
	folder, name := filepath.Split(path)
	if len(name)+len(ending) > longestName {
		sum := sha256.Sum256([]byte(name))
		name = ".halocline-" + hex.EncodeToString(sum[:8])
	}
	return folder + name + ending
}
