package batch

import (
	"context"
	"flag"
	"fmt"
	"slices"
	"strings"

	"halocline/app/clip"
)

// parseFrames reads --frames; nil where it was not given.
func parseFrames(f *flag.FlagSet, text string) ([]clip.Span, error) {
	if !isSet(f, "frames") {
		return nil, nil
	}
	spans, err := clip.ParseSpans(text)
	if err != nil {
		return nil, misuse("--%s", strings.TrimPrefix(err.Error(), "clip: "))
	}
	return spans, nil
}

// framesOf returns the numbers of a clip's frames that lie within spans, all
// where there are none. Numbers that the clip lacks are an error, and so is a
// frame that would stop the work later: its header is read now.
func (c *call) framesOf(ctx context.Context, w opened, spans []clip.Span) ([]int, error) {
	if spans == nil {
		spans = w.Clip.Spans()
		c.tellGaps(w)
		if n, of := w.Clip.Count(), w.Study.Clip.Count; w.Clip.IsSequence() && n < of {
			return nil, fmt.Errorf("batch: %s has %d frames (%s), and its study was made of %d: put the missing frames back, choose frames with --frames, or go on without the missing ones with --skip-bad", w.Clip.Name(), n, clip.SpansText(spans), of)
		}
	}
	frames, missing := w.Clip.Select(spans)
	if len(missing) > 0 {
		return nil, w.lacks(missing)
	}
	return frames, w.Clip.Check(ctx, frames)
}

// allFramesOf is framesOf for who goes on past frames that cannot be read: those that
// spans name and the clip lacks are among them, and without spans those that a sequence
// has lost since its study was made.
func (w opened) allFramesOf(spans []clip.Span) ([]int, error) {
	c := w.Study.Clip
	if spans == nil {
		spans = w.Clip.Spans()
		if c.Count > w.Clip.Count() {
			spans = []clip.Span{{From: c.First, To: c.First + c.Count - 1}}
		}
	}
	frames, missing := w.Clip.Select(spans)
	for _, s := range missing {
		if s.From < c.First || s.To > max(c.First+c.Count-1, w.Clip.Last()) {
			return nil, w.lacks([]clip.Span{s})
		}
		for n := s.From; n <= s.To; n++ {
			frames = append(frames, n)
		}
	}
	slices.Sort(frames)
	return frames, nil
}

func (w opened) lacks(missing []clip.Span) error {
	return fmt.Errorf("batch: %s lacks %s of --frames, want some of %s", w.Clip.Name(), clip.SpansText(missing), clip.SpansText(w.Clip.Spans()))
}

// tellGaps tells what an export of all of a sequence goes without.
func (c *call) tellGaps(w opened) {
	if !w.Clip.IsSequence() {
		return
	}
	for _, n := range w.Notices {
		c.notice("%s", n)
	}
}
