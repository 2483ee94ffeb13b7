package export

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"halocline/app/clip"
	"halocline/app/view"
)

// A Plan says what an export is to write, so that Verify can tell what is missing and
// what was made with other settings. Every shard writes the plan of the whole export.
//
// Of several plans that list a frame's file the one with the highest number counts for
// that file; the others still count for what they alone list. So an export of a few
// frames leaves the plan of the rest standing.
type Plan struct {
	Number  int      `json:"number"` // from 1
	Hash    string   `json:"hash"`   // of all that follows, 64 hexadecimal digits
	Kind    Kind     `json:"kind"`
	Depth   int      `json:"depth"`            // bits
	Clip    string   `json:"clip"`             // Clip.Name of the study
	Source  string   `json:"source,omitempty"` // the footage's SHA-256
	Pattern string   `json:"pattern"`          // of the files' names
	Version int      `json:"version,omitempty"`
	Series  []Series `json:"series"`
	Beside  []string `json:"beside,omitempty"` // names of the files beside the pictures
}

// A Series is the pictures of one matte, or of a kind that has none.
type Series struct {
	Matte string `json:"matte,omitempty"`
	Runs  []Run  `json:"frames"`
}

// A Run is frames that follow one another and are made with the same settings. Its text
// is "1-24 0123456789abcdef".
type Run struct {
	clip.Span
	Settings string // see settingsOf
}

// MarshalText writes a run.
func (r Run) MarshalText() ([]byte, error) { return []byte(r.Span.String() + " " + r.Settings), nil }

// UnmarshalText reads a run.
func (r *Run) UnmarshalText(text []byte) error {
	frames, settings, _ := strings.Cut(string(text), " ")
	spans, err := clip.ParseSpans(frames)
	if err != nil || len(spans) != 1 || len(settings) != settingsDigits {
		return fmt.Errorf("found %q, want frames and settings such as %q", text, "1-24 0123456789abcdef")
	}
	*r = Run{spans[0], settings}
	return nil
}

type planLine struct {
	Plan Plan `json:"plan"`
}

// problem says what is wrong with a plan that was read, "" for nothing.
func (p Plan) problem() string {
	if _, err := ParsePattern(p.Pattern); err != nil {
		return err.Error()
	}
	switch hash, err := p.hashed(); {
	case p.Number < 1 || p.Number > mostPlans || len(p.Hash) != 2*sha256.Size || len(p.Series) == 0:
		return "it lacks a number from 1 on, a hash or a series"
	case err != nil || hash != p.Hash:
		return "its hash is not that of what it lists"
	}
	return ""
}

// mostPlans is more than any folder has.
const mostPlans = 1 << 30

// hashed is the hash that a plan should have.
func (p Plan) hashed() (string, error) {
	p.Number, p.Hash = 0, ""
	text, err := json.Marshal(p)
	return sum256(text), err
}

// same reports whether two plans are one.
func (p Plan) same(q Plan) bool { return p.Number == q.Number && p.Hash == q.Hash }

// plan returns what the job is to write, shards or not. It has no number yet.
func (j Job) plan(extras []extra) (Plan, error) {
	p := Plan{Kind: j.Kind, Depth: j.Depth, Clip: j.Study.Clip.Name(), Source: j.Study.Clip.SHA256, Pattern: j.Pattern.String(), Version: j.Version}
	for _, m := range j.mattes() {
		var s Series
		if m != nil {
			s.Matte = m.Name
		}
		for _, n := range j.Frames {
			s.add(n, j.settingsOf(task{matte: m, frame: n}))
		}
		p.Series = append(p.Series, s)
	}
	for _, x := range extras {
		p.Beside = append(p.Beside, x.name)
	}
	var err error
	p.Hash, err = p.hashed()
	return p, err
}

// add puts a frame at the end of a series.
func (s *Series) add(frame int, settings string) {
	if last := len(s.Runs) - 1; last >= 0 && s.Runs[last].Settings == settings && s.Runs[last].Extend(frame) {
		return
	}
	s.Runs = append(s.Runs, Run{clip.Span{From: frame, To: frame}, settings})
}

// settingsDigits is how many hexadecimal digits tell settings apart.
const settingsDigits = 16

// settingsOf is the digest of the settings that a picture is made with: all that it
// depends on, but for the frame itself and what the footage shows there.
func (j Job) settingsOf(t task) string {
	text := j.withKind(j.Study.DigestSettings(t.frame, t.matte, j.Kind == Trial))
	return sum256(text)[:settingsDigits]
}

// withKind adds to a study's digest what else makes a picture what it is.
func (j Job) withKind(digest string) []byte {
	text := fmt.Appendf(nil, "%s %s %d", digest, j.Kind, j.Depth)
	if _, ok := j.Kind.view(); ok {
		text = fmt.Appendf(text, " drawing %d", view.Drawing)
	}
	return text
}

// FramesText lists frames as clip.ParseSpans reads them.
func FramesText(frames []int) string {
	var parts []string
	for _, s := range clip.SpansOf(frames) {
		parts = append(parts, s.String())
	}
	return strings.Join(parts, ",")
}

// mostFrames is more than any clip has: a day at 100 a second. All plans of a folder
// together may list as many.
const mostFrames = 10_000_000

// numbersIn lists the frames within spans.
func numbersIn(spans []clip.Span) (frames []int, err error) {
	for _, s := range spans {
		if len(frames)+s.To-s.From >= mostFrames {
			return nil, fmt.Errorf("export: frames %s are more than %d", clip.SpansText(spans), mostFrames)
		}
		for n := s.From; n <= s.To; n++ {
			frames = append(frames, n)
		}
	}
	return frames, nil
}

// learnPlan takes a plan in.
func (m *manifest) learnPlan(p Plan, own bool) {
	m.plans = withPlan(m.plans, p)
	if own {
		m.planned = withPlan(m.planned, p)
	}
}

func withPlan(plans []Plan, p Plan) []Plan {
	if slices.ContainsFunc(plans, p.same) {
		return plans
	}
	return append(plans, p)
}

// plan gives a plan its number and notes it, unless that is done. A plan of the same
// hash is joined where no later one lists any of its files; else the plan is the newest.
func (m *manifest) plan(ctx context.Context, p Plan) (Plan, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	p.Number = numberOf(p, m.plans)
	if slices.ContainsFunc(m.planned, p.same) {
		return p, nil
	}
	if err := m.append(ctx, planLine{p}); err != nil {
		return p, fmt.Errorf("export: %s cannot be written: %w", m.path, err)
	}
	m.learnPlan(p, true)
	return p, nil
}

func numberOf(p Plan, plans []Plan) int {
	highest, rival, joined := 0, 0, 0
	for _, q := range plans {
		highest = max(highest, q.Number)
		switch {
		case q.Hash == p.Hash:
			joined = max(joined, q.Number)
		case q.overlaps(p):
			rival = max(rival, q.Number)
		}
	}
	if joined > rival {
		return joined
	}
	return highest + 1
}
