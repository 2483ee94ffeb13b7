package export

import (
	"cmp"
	"fmt"
	"maps"
	"path/filepath"
	"slices"

	"halocline/app/study"
)

// A MatteSeries is the pictures of one matte in a folder, by its manifests.
type MatteSeries struct {
	Matte   string         // its name
	Source  string         // the footage's SHA-256, "" where nobody measured it
	Files   map[int]string // the paths of its pictures, by the source's frame numbers
	Skipped []int          // frames, ascending, that have no picture because their footage cannot be read
}

// Frames are the numbers of the frames that have a picture, ascending.
func (s MatteSeries) Frames() []int { return slices.Sorted(maps.Keys(s.Files)) }

// Mattes lists the mattes that a folder's manifests have, by name: of exports of several
// versions the newest picture of each frame. The files are not looked at. A folder without
// mattes is an error, and so is one that has a frame twice, or a matte of one name from
// two clips.
func Mattes(folder string) ([]MatteSeries, error) {
	m, err := openManifest(folder, ManifestName)
	if err != nil {
		return nil, err
	}
	newest := map[string]map[int]Entry{}
	for _, e := range sortedByName(m.entries) {
		if e.Kind != Matte {
			continue
		}
		key := study.Fold(e.Matte)
		if newest[key] == nil {
			newest[key] = map[int]Entry{}
		}
		switch old, there := newest[key][e.Frame]; {
		case there && old.Version == e.Version:
			return nil, fmt.Errorf("export: %s lists frame %d of matte %q twice, as %s and as %s, want it once", m.path, e.Frame, e.Matte, old.Name, e.Name)
		case !there || e.Version > old.Version:
			newest[key][e.Frame] = e
		}
	}
	if len(newest) == 0 {
		return nil, fmt.Errorf("export: %s lists no mattes, want a folder that an export of mattes has written", m.path)
	}
	var all []MatteSeries
	for _, frames := range newest {
		s, err := matteSeries(folder, frames)
		if err != nil {
			return nil, err
		}
		all = append(all, s)
	}
	slices.SortFunc(all, func(a, b MatteSeries) int { return cmp.Compare(study.Fold(a.Matte), study.Fold(b.Matte)) })
	return all, nil
}

// matteSeries is the series of a matte's frames.
func matteSeries(folder string, frames map[int]Entry) (MatteSeries, error) {
	s := MatteSeries{Files: map[int]string{}}
	for i, n := range slices.Sorted(maps.Keys(frames)) {
		e := frames[n]
		if i == 0 {
			s.Matte, s.Source = e.Matte, e.Source
		}
		if e.Source != s.Source {
			return s, fmt.Errorf("export: %s has matte %q of two clips (%s is of other footage than the first frame), want a folder of one clip", folder, e.Matte, e.Name)
		}
		if e.Skipped != "" {
			s.Skipped = append(s.Skipped, n)
			continue
		}
		s.Files[n] = filepath.Join(folder, filepath.FromSlash(e.Name))
	}
	return s, nil
}
