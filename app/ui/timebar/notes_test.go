package timebar

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/check"
	"halocline/app/check/shot"
	"halocline/app/desk/watch"
	"halocline/app/ui/timeline"
)

func TestNotesAreWhatTheStripShows(t *testing.T) {
	v, low := 0.25, 0.1
	n := Notes(watch.Verdict{
		Judged: []shot.Judged{
			{Frame: shot.Frame{Number: 3, Figures: check.Figures{Area: 0.5}, Flicker: &v, Band: &low, Dropped: &v, Confidence: &low}},
			{Frame: shot.Frame{Number: 4, Proxy: true, Figures: check.Figures{Area: 0.4}, Crossings: []shot.Crossing{{X: 812, Y: 344, Length: 40}}}, Stale: true},
			{Frame: shot.Frame{Number: 5, Err: errors.New("gone")}},
		},
		Findings: []shot.Finding{{Frame: 5, Unjudged: true, Sentence: "it cannot be read"}, {Frame: 3, Badness: 1}},
	})
	assert.Equal(t, []timeline.Note{{Frame: 3, Area: 0.5, Flicker: &v, Leak: &v, Sure: &low}, {Frame: 4, Area: 0.4, Rough: true, Words: "the outline may cut the subject at 812, 344", Stale: true}}, n.Notes)
	assert.Equal(t, []timeline.Flag{{Frame: 5, Rank: 1, Words: "it cannot be read"}}, n.Flags, "what does not stand out has none")
}

func TestProgressOfAVerdict(t *testing.T) {
	assert.Equal(t, "75 %", progressOf(watch.Verdict{Of: 24, Left: 6}))
	assert.Equal(t, "0 %", progressOf(watch.Verdict{Of: 24, Left: 24}))
	assert.Empty(t, progressOf(watch.Verdict{Of: 24}), "all is judged")
	assert.Empty(t, progressOf(watch.Verdict{}), "there is no clip")
}
