package export

import (
	"fmt"
	"path/filepath"
)

// reads are the files that an export is made of, by their real paths: it writes over none
// of them, whatever it may overwrite.
type reads struct {
	files    map[string]bool
	sequence string // the folder of a numbered sequence; "" for none
}

func (j Job) reads() reads {
	r := reads{files: map[string]bool{}}
	folders := map[string]string{} // the real path of each
	add := func(path string) {
		if path == "" {
			return
		}
		dir := filepath.Dir(path)
		if folders[dir] == "" {
			folders[dir] = realPath(dir)
		}
		r.files[filepath.Join(folders[dir], filepath.Base(path))] = true
		r.files[realPath(path)] = true
	}
	for _, n := range j.Frames {
		add(j.Renderer.Path(n))
	}
	add(j.Study.Clip.Path)
	for _, path := range j.Spare {
		add(path)
	}
	if first := j.Study.Clip.First; j.Study.Clip.Count > 1 && j.Renderer.Path(first) != "" && j.Renderer.Path(first) != j.Renderer.Path(first+1) {
		r.sequence = realPath(filepath.Dir(j.Renderer.Path(first)))
	}
	return r
}

// spare is an error where a path is one of the files, or lies among the frames of a
// sequence, which would count it in.
func (r reads) spare(path string) error {
	real := realPath(path)
	switch {
	case r.files[real]:
		return fmt.Errorf("export: %s is a file that this export is made of, which is never written over: choose another folder or name pattern", path)
	case r.sequence != "" && filepath.Dir(real) == r.sequence:
		return fmt.Errorf("export: %s would lie among the frames of the footage, which would count it in: choose another folder", path)
	}
	return nil
}

// realPath follows links as far as a path exists.
func realPath(path string) string {
	if abs, err := filepath.Abs(path); err == nil {
		path = abs
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	if dir := filepath.Dir(path); dir != path {
		return filepath.Join(realPath(dir), filepath.Base(path))
	}
	return path
}
