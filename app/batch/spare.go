package batch

import (
	"fmt"
	"os"
)

// spare is an error where a file that is to be written is one that the study is made of: its
// footage, or its own file. --overwrite does not mean these.
func (w opened) spare(path string) error {
	info, err := os.Stat(path)
	if err != nil {
		return nil // nothing is there that could be lost
	}
	all := []string{w.Path}
	for _, n := range w.Clip.Frames() {
		if p := w.Clip.Path(n); p != all[len(all)-1] {
			all = append(all, p)
		}
	}
	for _, p := range all {
		if other, err := os.Stat(p); err == nil && os.SameFile(info, other) {
			return fmt.Errorf("batch: %s is a file that the study is made of, which is never written over: give another name", path)
		}
	}
	return nil
}
