package export

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
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

// A Gap is frames of a plan that are not as it says.
type Gap struct {
	Kind   Kind   `json:"kind"`
	Matte  string `json:"matte,omitempty"`
	Plan   int    `json:"plan,omitempty"` // its number; 0 where none lists the frames
	Frames string `json:"frames"`         // "3,7-9"
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
	Missing    []Gap    // in a plan, and not listed
	Stale      []Gap    // listed, and made with other settings than the newest plan's
	Skipped    []Gap    // without a picture, because their footage cannot be read
	Duplicates []Twice  // listed more than once
	Strangers  []string // pictures and movies that are there and not listed: no fault
	Cut        []string // manifests whose last line was cut when its writer was killed: no fault
	// Processors are the kinds of processor that made pictures whose masks search for edges:
	// of several, single pixels at these edges may differ. No fault.
	Processors []string
}

// Sound reports whether every frame is there, once, intact, and made with the settings
// of the newest plan that lists it.
func (r Report) Sound() bool {
	return len(r.Faults)+len(r.Missing)+len(r.Stale)+len(r.Skipped)+len(r.Duplicates) == 0
}

// Verify compares folders with their manifests: every file that these list must
// be there with the bytes that were written, whole files are read, and every frame of
// a plan must be listed, once, with the settings of the newest plan that has it. Shards
// of one export may lie in one folder or in several. spans, if not nil, are the frames
// that are wanted instead of those of the plans. A folder without a manifest is an error.
func Verify(ctx context.Context, spans []clip.Span, folders ...string) (Report, error) {
	v := verifier{several: len(folders) > 1, at: map[spot][]string{}, listed: map[string][]Entry{}}
	for _, folder := range folders {
		if err := v.folder(ctx, folder); err != nil {
			return v.Report, err
		}
	}
	slices.Sort(v.Processors)
	v.findDuplicates()
	err := v.findGaps(spans)
	return v.Report, err
}

type verifier struct {
	Report
	several bool // names carry their folder
	plans   []Plan
	listed  map[string][]Entry // by name, of all folders
	at      map[spot][]string  // names of pictures
}

// A spot is a picture's place in what was exported.
type spot struct {
	kind           Kind
	matte, source  string
	frame, version int
}

func (v *verifier) folder(ctx context.Context, folder string) error {
	m, err := openManifest(folder, ManifestName)
	if err != nil {
		return err
	}
	if len(m.entries) == 0 && len(m.plans) == 0 {
		return fmt.Errorf("export: %s is missing or lists nothing, want a folder that an export has written", m.path)
	}
	for _, e := range sortedByName(m.entries) {
		if err := v.file(ctx, folder, e); err != nil {
			return err
		}
	}
	for _, p := range m.plans {
		v.plans = withPlan(v.plans, p)
	}
	for _, path := range m.cut {
		v.Cut = append(v.Cut, filepath.ToSlash(path))
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
	v.listed[e.Name] = append(v.listed[e.Name], e)
	if e.Processor != "" && !slices.Contains(v.Processors, e.Processor) {
		v.Processors = append(v.Processors, e.Processor)
	}
	if e.Skipped != "" {
		return nil
	}
	f := Fault{Name: v.name(folder, e.Name), Want: fmt.Sprintf("%d bytes, sha256 %s", e.Size, e.SHA256)}
	if e.Kind.IsFrame() {
		at := spot{e.Kind, e.Matte, e.Source, e.Frame, e.Version}
		v.at[at] = append(v.at[at], f.Name)
	}
	f.Found = found(ctx, folder, e)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case f.Found != "":
		v.Faults = append(v.Faults, f)
	case e.Outdated:
		v.Faults = append(v.Faults, Fault{f.Name, "of earlier pictures", "one of the pictures that are there: export it again"})
	case e.Kind.IsFrame():
		v.Good++
	default:
		v.Beside++
	}
	return nil
}

// found says what lies in place of an entry's file, "" for that file itself.
func found(ctx context.Context, folder string, e Entry) string {
	path := filepath.Join(folder, filepath.FromSlash(e.Name))
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "no such file"
	case err != nil:
		return err.Error()
	case !info.Mode().IsRegular():
		return "something else than a file"
	}
	if real, err := filepath.EvalSymlinks(path); err != nil || !within(folder, real) {
		return "a link that leads out of the folder"
	}
	print, err := study.MeasureWhole(ctx, path)
	switch {
	case err != nil:
		return err.Error()
	case print != e.print():
		return fmt.Sprintf("%d bytes, sha256 %s", print.Size, print.SHA256)
	}
	return ""
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

// findGaps compares what is listed with what the plans say. Where frames are named, these
// are wanted of every series that a plan has.
func (v *verifier) findGaps(spans []clip.Span) error {
	all, err := standingOf(v.plans)
	if err != nil {
		return err
	}
	if spans != nil {
		if all, err = restricted(all, spans); err != nil {
			return err
		}
	}
	missing, stale, skipped := gaps{}, gaps{}, gaps{}
	planned := map[string]bool{}
	for _, s := range all {
		err := s.names(func(frame int, name string) {
			planned[name] = true
			switch v.standsAs(name, s.settings) {
			case notListed:
				missing.add(s, frame)
			case otherSettings:
				stale.add(s, frame)
			case noPicture:
				skipped.add(s, frame)
			}
		})
		if err != nil {
			return fmt.Errorf("export: a plan in a manifest: %w", err)
		}
	}
	v.Missing, v.Stale, v.Skipped = missing.list(), stale.list(), skipped.list()
	if spans == nil {
		v.findUnplanned(planned)
		v.findBeside(all)
	}
	return nil
}

// findUnplanned finds pictures that no plan lists: a manifest has lost its plan.
func (v *verifier) findUnplanned(planned map[string]bool) {
	for _, name := range slices.Sorted(maps.Keys(v.listed)) {
		if !planned[name] && v.listed[name][0].Kind.IsFrame() {
			v.Faults = append(v.Faults, Fault{name, "in no plan", "a plan in a manifest that lists it: export again"})
		}
	}
}

// findBeside finds files beside pictures that the plans which stand were to have, and that
// no manifest lists.
func (v *verifier) findBeside(all []standing) {
	for _, p := range v.plans {
		if !slices.ContainsFunc(all, func(s standing) bool { return s.plan == p.Number }) {
			continue
		}
		for _, name := range p.Beside {
			if len(v.listed[name]) == 0 {
				v.Faults = append(v.Faults, Fault{name, "never written", fmt.Sprintf("a file beside the pictures of plan %d", p.Number)})
				v.listed[name] = []Entry{{}} // told once
			}
		}
	}
}

// How a frame stands to the plan that counts for it.
type standsAs int

const (
	asPlanned standsAs = iota
	notListed
	otherSettings
	noPicture
)

// standsAs tells how a name is listed; settings are "" where any will do.
func (v *verifier) standsAs(name, settings string) standsAs {
	entries := v.listed[name]
	if settings != "" {
		entries = slices.DeleteFunc(slices.Clone(entries), func(e Entry) bool { return e.Settings != settings })
	}
	switch {
	case len(v.listed[name]) == 0:
		return notListed
	case len(entries) == 0:
		return otherSettings
	case !slices.ContainsFunc(entries, func(e Entry) bool { return e.Skipped == "" }):
		return noPicture
	}
	return asPlanned
}

// restricted is what counts for some frames alone. Those that no plan of a series lists
// are wanted with any settings.
func restricted(all []standing, spans []clip.Span) (out []standing, err error) {
	if _, err := numbersIn(spans); err != nil {
		return nil, err
	}
	planned := map[series]*spanSet{}
	for _, s := range all {
		if planned[s.series] == nil {
			planned[s.series] = new(spanSet)
		}
		planned[s.series].add(s.Span)
		for _, w := range spans {
			if both := (clip.Span{From: max(s.From, w.From), To: min(s.To, w.To)}); both.From <= both.To {
				out = append(out, standing{s.series, s.plan, s.settings, both})
			}
		}
	}
	for at, set := range planned {
		for _, w := range spans {
			for _, span := range set.add(w) {
				out = append(out, standing{series: at, Span: span})
			}
		}
	}
	return out, nil
}

// gaps collects frames by what they are of.
type gaps map[Gap][]int

func (g gaps) add(s standing, frame int) {
	at := Gap{Kind: s.kind, Matte: s.matte, Plan: s.plan}
	g[at] = append(g[at], frame)
}

func (g gaps) list() (all []Gap) {
	for gap, frames := range g {
		slices.Sort(frames)
		gap.Frames, gap.Count = FramesText(frames), len(frames)
		all = append(all, gap)
	}
	slices.SortFunc(all, func(a, b Gap) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Matte, b.Matte), cmp.Compare(a.Plan, b.Plan), cmp.Compare(a.Frames, b.Frames))
	})
	return all
}
