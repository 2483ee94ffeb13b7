package clip

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// A Span is the frames From to To, both of them in it, by the source's numbers.
type Span struct{ From, To int }

// String returns "7", or "7-9".
func (s Span) String() string {
	if s.From == s.To {
		return strconv.Itoa(s.From)
	}
	return fmt.Sprintf("%d-%d", s.From, s.To)
}

// ParseSpans reads frame numbers as people write them, such as "1-24,30": not
// negative, in any order. The spans it returns ascend and do not touch.
func ParseSpans(s string) ([]Span, error) {
	var spans []Span
	for item := range strings.SplitSeq(s, ",") {
		item = strings.TrimSpace(item)
		first, last, isRange := strings.Cut(item, "-")
		if !isRange {
			last = first
		}
		from, errFrom := parseNumber(first)
		to, errTo := parseNumber(last)
		switch {
		case errFrom != nil || errTo != nil:
			return nil, fmt.Errorf("clip: frames %q: found %q, want numbers of at most %d digits and ranges, such as 1-24,30", s, item, mostDigits)
		case from > to:
			return nil, fmt.Errorf("clip: frames %q: %s runs backwards, want %d-%d", s, item, to, from)
		}
		spans = append(spans, Span{from, to})
	}
	return Joined(spans), nil
}

func parseNumber(s string) (int, error) {
	n, err := strconv.ParseUint(strings.TrimSpace(s), 10, 32)
	if n >= tooMany {
		return 0, strconv.ErrRange
	}
	return int(n), err
}

// Extend makes a span end at a frame, if that is the next one after it, and reports whether
// it is.
func (s *Span) Extend(frame int) bool {
	if frame != s.To+1 {
		return false
	}
	s.To = frame
	return true
}

// SpansOf returns frames, in any order, as spans that ascend and do not touch.
func SpansOf(frames []int) []Span {
	var spans []Span
	for _, n := range frames {
		if last := len(spans) - 1; last < 0 || !spans[last].Extend(n) {
			spans = append(spans, Span{n, n})
		}
	}
	return Joined(spans)
}

// Joined returns spans in ascending order, with one in place of those that touch.
func Joined(spans []Span) []Span {
	var out []Span
	for _, s := range slices.SortedFunc(slices.Values(spans), func(a, b Span) int { return a.From - b.From }) {
		if n := len(out); n > 0 && s.From <= out[n-1].To+1 {
			out[n-1].To = max(out[n-1].To, s.To)
			continue
		}
		out = append(out, s)
	}
	return out
}

// spansTold is how many spans a message lists: a line of a terminal.
const spansTold = 8

// SpansText lists spans for a message, the first few of many: "3, 7-9".
func SpansText(spans []Span) string {
	var b strings.Builder
	for i, s := range spans {
		if i == spansTold {
			fmt.Fprintf(&b, " and %d more", len(spans)-i)
			break
		}
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(s.String())
	}
	return b.String()
}

// FramesWord is SpansText with the right word before it: "frame 3", "frames 3, 7-9".
func FramesWord(spans []Span) string {
	if len(spans) == 1 && spans[0].From == spans[0].To {
		return "frame " + spans[0].String()
	}
	return "frames " + SpansText(spans)
}
