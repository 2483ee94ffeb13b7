package export

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"

	"halocline/app/clip"
	"halocline/app/study"
)

// A Fault is what is wrong with one file of a folder.
type Fault struct {
	Name  string `json:"name"`
	Found string `json:"found"`
	Want  string `json:"want"`
}

// A Gap is frames that an export was to write and that no manifest lists.
type Gap struct {
	Kind   Kind   `json:"kind"`
	Matte  string `json:"matte,omitempty"`
	Frames string `json:"frames"` // "3,7-9"
	Count  int    `json:"count"`
}

// A Twice is one frame of one matte in several files.
type Twice struct {
	Kind  Kind     `json:"kind"`
	Matte string   `json:"matte,omitempty"`
	Frame int      `json:"frame"`
	Names []string `json:"names"`
}

// A Report is what Verify found.
type Report struct {
	Good       int      // pictures that are there as they were written
	Beside     int      // likewise sheets, overlays and movies
	Faults     []Fault  // listed, and missing or with other bytes
	Missing    []Gap    // not listed
	Duplicates []Twice  // listed more than once
	Strangers  []string // pictures and movies that are there and not listed: no fault
}

// Sound reports whether every frame is there, once and intact.
func (r Report) Sound() bool { return len(r.Faults)+len(r.Missing)+len(r.Duplicates) == 0 }

// Verify compares folders with their manifests: every file that these list must
// be there with the bytes that were written, and every frame that an export was
// to write must be listed, once. Shards of one export may lie in one folder or in
// several. spans, if not nil, are the frames that are wanted instead of those that the exports were to
// write. A folder without a manifest is an error.
func Verify(ctx context.Context, spans []clip.Span, folders ...string) (Report, error) {
	v := verifier{several: len(folders) > 1, at: map[spot][]string{}}
	for _, folder := range folders {
		if err := v.folder(ctx, folder); err != nil {
			return v.Report, err
		}
	}
	v.findDuplicates()
	err := v.findGaps(spans)
	return v.Report, err
}

type verifier struct {
	Report
	several bool // names carry their folder
	plans   []Plan
	at      map[spot][]string // names of pictures
}

// A spot is a picture's place in what was exported.
type spot struct {
	series
	frame int
}

func (v *verifier) folder(ctx context.Context, folder string) error {
	m, err := openManifest(folder, ManifestName)
	if err != nil {
		return err
	}
	if len(m.entries) == 0 {
		return fmt.Errorf("export: %s is missing or lists nothing, want a folder that an export has written", m.path)
	}
	for _, e := range sortedByName(m.entries) {
		if err := v.file(ctx, folder, e); err != nil {
			return err
		}
	}
	for _, p := range m.plans {
		if !slices.Contains(v.plans, p) {
			v.plans = append(v.plans, p)
		}
	}
	return v.findStrangers(ctx, folder, m)
}

// name is what a report calls a folder's file.
func (v *verifier) name(folder, name string) string {
	if v.several {
		return filepath.ToSlash(filepath.Join(folder, name))
	}
	return name
}

// file compares one file with its entry.
func (v *verifier) file(ctx context.Context, folder string, e Entry) error {
	found, err := study.Measure(ctx, filepath.Join(folder, filepath.FromSlash(e.Name)))
	f := Fault{Name: v.name(folder, e.Name), Want: fmt.Sprintf("%d bytes, sha256 %s", e.Size, e.SHA256)}
	if e.Kind.IsFrame() {
		at := spot{e.of(), e.Frame}
		v.at[at] = append(v.at[at], f.Name)
	}
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case errors.Is(err, fs.ErrNotExist):
		f.Found = "no such file"
	case err != nil:
		f.Found = err.Error()
	case found != e.print():
		f.Found = fmt.Sprintf("%d bytes, sha256 %s", found.Size, found.SHA256)
	case e.Kind.IsFrame():
		v.Good++
		return nil
	default:
		v.Beside++
		return nil
	}
	v.Faults = append(v.Faults, f)
	return nil
}

// findStrangers lists the pictures and movies in a folder that no export wrote.
// What begins with a dot is a system's own, or the half file of an export that was
// killed, which nobody takes for a result.
func (v *verifier) findStrangers(ctx context.Context, folder string, m *manifest) error {
	return filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
		switch ending := strings.ToLower(filepath.Ext(path)); {
		case ctx.Err() != nil:
			return ctx.Err()
		case err != nil || d.IsDir() || strings.HasPrefix(d.Name(), ".") || ending != ".png" && ending != movieEnding:
			return nil
		}
		rel, err := filepath.Rel(folder, path)
		if err != nil {
			return nil
		}
		name := filepath.ToSlash(rel)
		if _, known := m.entry(name); !known {
			v.Strangers = append(v.Strangers, v.name(folder, name))
		}
		return nil
	})
}

func (v *verifier) findDuplicates() {
	for at, names := range v.at {
		if len(names) > 1 {
			v.Duplicates = append(v.Duplicates, Twice{at.kind, at.matte, at.frame, names})
		}
	}
	slices.SortFunc(v.Duplicates, func(a, b Twice) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Matte, b.Matte), cmp.Compare(a.Frame, b.Frame), cmp.Compare(a.Names[0], b.Names[0]))
	})
}

// findGaps compares what is listed with what was to be written.
func (v *verifier) findGaps(spans []clip.Span) error {
	frames, err := numbersIn(spans)
	if err != nil {
		return err
	}
	all, err := wanted(v.plans)
	if err != nil {
		return err
	}
	for s, planned := range all {
		if spans != nil {
			planned = frames
		}
		var lack []int
		for _, n := range planned {
			if len(v.at[spot{s, n}]) == 0 {
				lack = append(lack, n)
			}
		}
		if len(lack) > 0 {
			v.Missing = append(v.Missing, Gap{s.kind, s.matte, framesText(lack), len(lack)})
		}
	}
	slices.SortFunc(v.Missing, func(a, b Gap) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Matte, b.Matte), cmp.Compare(a.Frames, b.Frames))
	})
	return nil
}
