package export

import (
	"cmp"
	"fmt"
	"slices"

	"halocline/app/clip"
	"halocline/app/study"
)

// A standing run is frames for which a plan counts.
type standing struct {
	series
	plan     int // its number
	settings string
	clip.Span
}

// A series tells whose file names a plan's are: plans of one series have the same name
// for a frame.
type series struct {
	kind        Kind
	matte, clip string
	pattern     string
	version     int
}

func (p Plan) of(s Series) series { return series{p.Kind, s.Matte, p.Clip, p.Pattern, p.Version} }

// overlaps reports whether two plans list the same file.
func (p Plan) overlaps(q Plan) bool {
	for _, a := range p.Series {
		var listed spanSet
		for _, r := range a.Runs {
			listed.add(r.Span)
		}
		for _, b := range q.Series {
			if p.of(a) == q.of(b) && slices.ContainsFunc(b.Runs, func(r Run) bool { return listed.meets(r.Span) }) {
				return true
			}
		}
	}
	return false
}

// standingOf tells for which frames each of several plans counts.
func standingOf(plans []Plan) (all []standing, err error) {
	newest := slices.SortedFunc(slices.Values(plans), func(a, b Plan) int {
		return cmp.Or(cmp.Compare(b.Number, a.Number), cmp.Compare(b.Hash, a.Hash))
	})
	listed, covered := 0, map[series]*spanSet{}
	for _, p := range newest {
		for _, s := range p.Series {
			at := p.of(s)
			if covered[at] == nil {
				covered[at] = new(spanSet)
			}
			for _, r := range s.Runs {
				if listed += r.To - r.From + 1; listed > mostFrames {
					return nil, fmt.Errorf("export: plans in manifests list more than %d frames: these are no manifests of an export", mostFrames)
				}
				for _, span := range covered[at].add(r.Span) {
					all = append(all, standing{at, p.Number, r.Settings, span})
				}
			}
		}
	}
	return all, nil
}

// wanted are the settings that pictures are to have, by their series and frame.
type wanted map[series]map[int]string

// set notes the settings of a frame's picture.
func (w wanted) set(of series, frame int, settings string) {
	if w[of] == nil {
		w[of] = map[int]string{}
	}
	w[of][frame] = settings
}

// others are the frames, ascending, for which other settings stand.
func (w wanted) others(all []standing) (frames []int) {
	for _, s := range all {
		for n := s.From; n <= s.To && w[s.series] != nil; n++ {
			if settings, ours := w[s.series][n]; ours && settings != s.settings {
				frames = append(frames, n)
			}
		}
	}
	slices.Sort(frames)
	return slices.Compact(frames)
}

// names calls each with the name of every frame's file.
func (s standing) names(each func(frame int, name string)) error {
	pattern, err := ParsePattern(s.pattern)
	if err != nil {
		return err
	}
	for n := s.From; n <= s.To; n++ {
		name, err := pattern.Format(Fields{Clip: s.clip, Matte: s.kind.name(s.matte), Frame: n, Version: s.version})
		if err != nil {
			return err
		}
		each(n, name)
	}
	return nil
}

// A spanSet is a set of frames: spans in ascending order, apart from one another.
type spanSet []clip.Span

// first is the place of the first span that ends at a frame or after it.
func (s spanSet) first(frame int) int {
	i, _ := slices.BinarySearchFunc(s, frame, func(a clip.Span, n int) int { return cmp.Compare(a.To, n) })
	return i
}

// meets reports whether any frame of a span is in the set.
func (s spanSet) meets(span clip.Span) bool {
	i := s.first(span.From)
	return i < len(s) && s[i].From <= span.To
}

// add puts a span into the set, and returns the parts of it that were not there.
func (s *spanSet) add(span clip.Span) (fresh []clip.Span) {
	from := s.first(span.From)
	to, next := from, span.From
	whole := span
	for ; to < len(*s) && (*s)[to].From <= span.To; to++ {
		old := (*s)[to]
		if next < old.From {
			fresh = append(fresh, clip.Span{From: next, To: old.From - 1})
		}
		next = old.To + 1
		whole.From, whole.To = min(whole.From, old.From), max(whole.To, old.To)
	}
	if next <= span.To {
		fresh = append(fresh, clip.Span{From: next, To: span.To})
	}
	*s = slices.Replace(*s, from, to, whole)
	return fresh
}

// standingOnly are those of some plans that still count for any frame.
func standingOnly(plans, all []Plan) []Plan {
	stand, err := standingOf(all)
	if err != nil {
		return plans
	}
	return slices.DeleteFunc(slices.Clone(plans), func(p Plan) bool {
		return !slices.ContainsFunc(stand, func(s standing) bool { return s.plan == p.Number })
	})
}

// othersBeside are the frames of a matte for which earlier plans than the run's count.
func (r *run) othersBeside(m *study.Matte) (string, error) {
	all, err := standingOf(r.listed.plans)
	if err != nil {
		return "", err
	}
	var spans []clip.Span
	for _, s := range all {
		if s.plan != r.plan.Number && s.series == r.plan.of(Series{Matte: m.Name}) {
			spans = append(spans, s.Span)
		}
	}
	return clip.SpansText(clip.Joined(spans)), nil
}
