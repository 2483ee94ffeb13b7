package export

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"halocline/app/clip"
	"halocline/app/study"
)

// A Plan says which pictures an export was to write, so that Verify can tell what
// is missing: those of one matte, or of a kind that has none. Shards of one export
// write the same plan, that of all of them.
type Plan struct {
	Kind   Kind   `json:"kind"`
	Matte  string `json:"matte,omitempty"`
	Clip   string `json:"clip"`             // ClipName
	Source string `json:"source,omitempty"` // the footage's SHA-256
	Frames string `json:"frames"`           // as clip.ParseSpans reads them
}

type planLine struct {
	Plan Plan `json:"plan"`
}

// A series is what a plan is of: pictures that follow one another.
type series struct {
	kind          Kind
	matte, source string
}

func (p Plan) of() series  { return series{p.Kind, p.Matte, p.Source} }
func (e Entry) of() series { return series{e.Kind, e.Matte, e.Source} }

// plans returns what the job is to write, shards or not.
func (j Job) plans() (all []Plan) {
	mattes := j.Mattes
	if !j.Kind.perMatte() {
		mattes = []*study.Matte{nil}
	}
	for _, m := range mattes {
		p := Plan{Kind: j.Kind, Clip: ClipName(j.Study.Clip), Source: j.Study.Clip.SHA256, Frames: framesText(j.Frames)}
		if m != nil {
			p.Matte = m.Name
		}
		all = append(all, p)
	}
	return all
}

// framesText lists frames as clip.ParseSpans reads them.
func framesText(frames []int) string {
	var b strings.Builder
	for i := 0; i < len(frames); {
		end := i + 1
		for end < len(frames) && frames[end] == frames[end-1]+1 {
			end++
		}
		if b.Len() > 0 {
			b.WriteByte(',')
		}
		b.WriteString(clip.Span{From: frames[i], To: frames[end-1]}.String())
		i = end
	}
	return b.String()
}

// mostFrames is more than any clip has: a day at 100 a second.
const mostFrames = 10_000_000

// framesOf is the inverse of framesText.
func framesOf(text string) ([]int, error) {
	spans, err := clip.ParseSpans(text)
	if err != nil {
		return nil, err
	}
	return numbersIn(spans)
}

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

// learnPlan takes a plan in. One that is for the same mattes of other footage
// takes the place of the earlier: its files have replaced those.
func (m *manifest) learnPlan(p Plan, own bool) {
	m.plans = withPlan(m.plans, p)
	if own {
		m.planned = withPlan(m.planned, p)
	}
}

func withPlan(plans []Plan, p Plan) []Plan {
	if slices.Contains(plans, p) {
		return plans
	}
	plans = slices.DeleteFunc(plans, func(q Plan) bool {
		return q.Kind == p.Kind && q.Matte == p.Matte && q.Clip == p.Clip && q.Source != p.Source
	})
	return append(plans, p)
}

// plan notes what an export is to write, unless that is known.
func (m *manifest) plan(ctx context.Context, plans []Plan) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, p := range plans {
		if slices.Contains(m.planned, p) {
			continue
		}
		if err := m.append(ctx, planLine{p}); err != nil {
			return fmt.Errorf("export: %s cannot be written: %w", m.path, err)
		}
		m.learnPlan(p, true)
	}
	return nil
}

// wanted returns the frames that plans name, ascending, by what they are of.
func wanted(plans []Plan) (map[series][]int, error) {
	sets := map[series]map[int]bool{}
	for _, p := range plans {
		frames, err := framesOf(p.Frames)
		if err != nil {
			return nil, fmt.Errorf("export: a plan in a manifest: %w", err)
		}
		if sets[p.of()] == nil {
			sets[p.of()] = map[int]bool{}
		}
		for _, n := range frames {
			sets[p.of()][n] = true
		}
	}
	all := map[series][]int{}
	for s, set := range sets {
		all[s] = slices.Sorted(maps.Keys(set))
	}
	return all, nil
}
