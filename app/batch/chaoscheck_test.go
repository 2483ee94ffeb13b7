package batch

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// What follows checks an export's folder without a line of package export: it reads the
// manifests and the files by itself, so that the two can be held against each other.

// A seenLine is a line of a manifest, as the checker reads it.
type seenLine struct {
	Name, Kind, Matte, Source string
	Frame, Version, Turn      int
	Size                      int64
	SHA256, Settings, Skipped string
	Plan                      *seenPlan
}

// A seenPlan is a plan in a manifest.
type seenPlan struct {
	Number        int
	Hash, Kind    string
	Clip, Pattern string
	Version       int
	Series        []struct {
		Matte  string
		Frames []string
	}
}

// A wanted is what the newest plan that lists a file asks of it.
type wanted struct {
	plan     int
	settings string
}

// A seen is what a folder's manifests say, and what is wrong with the folder.
type seen struct {
	folder  string
	entries map[string]seenLine // that count, by name
	wants   map[string]wanted   // by name
	wrong   []string            // "" for nothing
}

var manifestNames = regexp.MustCompile(`^manifest(\.[0-9]+-of-[0-9]+)?\.jsonl$`)

// look reads a folder and says all that is wrong with it.
func look(folder string) *seen {
	s := &seen{folder: folder, entries: map[string]seenLine{}, wants: map[string]wanted{}}
	s.readManifests()
	if len(s.entries) == 0 {
		s.say("no manifest lists anything")
	}
	places := map[string]string{}
	for name, e := range s.entries {
		if problem := s.fileProblem(name); problem != "" {
			s.say("%s: %s", name, problem)
		}
		if e.Kind != "sheet" && e.Kind != "overlay" && e.Skipped == "" {
			place := fmt.Sprint(e.Kind, "|", e.Matte, "|", e.Source, "|", e.Frame, "|", e.Version)
			if other, twice := places[place]; twice {
				s.say("%s and %s are one frame", name, other)
			}
			places[place] = name
		}
	}
	for name := range s.wants {
		if problem := s.planProblem(name); problem != "" {
			s.say("%s: %s", name, problem)
		}
	}
	slices.Sort(s.wrong)
	return s
}

func (s *seen) say(format string, a ...any) { s.wrong = append(s.wrong, fmt.Sprintf(format, a...)) }

// readManifests takes in all lines of all manifests.
func (s *seen) readManifests() {
	files, err := os.ReadDir(s.folder)
	if err != nil {
		s.say("%v", err)
	}
	var plans []seenPlan
	for _, f := range files {
		if !manifestNames.MatchString(f.Name()) {
			continue
		}
		text, err := os.ReadFile(filepath.Join(s.folder, f.Name()))
		if err != nil {
			s.say("%v", err)
			continue
		}
		lines := bytes.Split(text, []byte("\n"))
		for i, line := range lines[:len(lines)-1] { // what follows the last line's end was cut
			if len(bytes.TrimSpace(line)) == 0 {
				continue
			}
			var l seenLine
			switch err := json.Unmarshal(line, &l); {
			case err != nil:
				s.say("%s line %d: %v", f.Name(), i+1, err)
			case l.Plan != nil:
				if hashInside(line) != l.Plan.Hash {
					s.say("%s line %d: the plan is not of its hash", f.Name(), i+1)
				}
				plans = append(plans, *l.Plan)
			case l.Name == "":
				s.say("%s line %d: neither a file nor a plan", f.Name(), i+1)
			default:
				if old, known := s.entries[l.Name]; !known || l.Turn >= old.Turn {
					s.entries[l.Name] = l
				}
			}
		}
	}
	s.takePlans(plans)
}

var planHead = regexp.MustCompile(`^\{"plan":\{"number":[0-9]+,"hash":"[0-9a-f]{64}"`)

// hashInside is the hash that a plan's line must have: of the plan with neither number
// nor hash.
func hashInside(line []byte) string {
	text := planHead.ReplaceAll(line, []byte(`{"number":0,"hash":""`))
	sum := sha256.Sum256(bytes.TrimSuffix(text, []byte("}")))
	return hex.EncodeToString(sum[:])
}

// takePlans finds the newest plan of each file.
func (s *seen) takePlans(plans []seenPlan) {
	slices.SortFunc(plans, func(a, b seenPlan) int {
		return cmp.Or(cmp.Compare(b.Number, a.Number), cmp.Compare(b.Hash, a.Hash))
	})
	for _, p := range plans {
		for _, series := range p.Series {
			for _, run := range series.Frames {
				span, settings, _ := strings.Cut(run, " ")
				first, last, several := strings.Cut(span, "-")
				if !several {
					last = first
				}
				from, errFrom := strconv.Atoi(first)
				to, errTo := strconv.Atoi(last)
				if errFrom != nil || errTo != nil {
					s.say("plan %d has frames %q", p.Number, run)
					continue
				}
				for n := from; n <= to; n++ {
					name := strings.NewReplacer("{matte}", series.Matte, "{clip}", p.Clip, "{frame:6}", fmt.Sprintf("%06d", n)).Replace(p.Pattern)
					if _, newer := s.wants[name]; !newer {
						s.wants[name] = wanted{p.Number, settings}
					}
				}
			}
		}
	}
}

// fileProblem says what is wrong with a listed file, "" for nothing.
func (s *seen) fileProblem(name string) string {
	e := s.entries[name]
	if e.Skipped != "" {
		return ""
	}
	path := filepath.Join(s.folder, name)
	if real, err := filepath.EvalSymlinks(path); err == nil && real != path && !strings.HasPrefix(real, s.folder+"/") {
		return "it lies behind a link that leads out"
	}
	text, err := os.ReadFile(path)
	if err != nil {
		return err.Error()
	}
	if sum := sha256.Sum256(text); int64(len(text)) != e.Size || hex.EncodeToString(sum[:]) != e.SHA256 {
		return fmt.Sprintf("%d bytes, sha256 %x, want %d, %s", len(text), sum, e.Size, e.SHA256)
	}
	return ""
}

// planProblem says what of the newest plan is not done for a file, "" for nothing.
func (s *seen) planProblem(name string) string {
	want := s.wants[name]
	switch e, listed := s.entries[name]; {
	case !listed:
		return fmt.Sprintf("plan %d wants it, and no line lists it", want.plan)
	case e.Settings != want.settings:
		return fmt.Sprintf("it has settings %s, and plan %d wants %s", e.Settings, want.plan, want.settings)
	case e.Skipped != "":
		return "it has no picture: " + e.Skipped
	}
	return ""
}

// promised says what of a promise that a file is there is not kept, "" for nothing.
func (s *seen) promised(name string) string {
	if _, planned := s.wants[name]; !planned {
		return "no plan wants it"
	}
	return cmp.Or(s.planProblem(name), s.fileProblem(name))
}
