package clip

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestParseSpans(t *testing.T) {
	for text, want := range map[string][]Span{
		"7":               {{7, 7}},
		"1-24,30":         {{1, 24}, {30, 30}},
		" 30 , 1 - 24 ":   {{1, 24}, {30, 30}},
		"5-9,1-4,8-12,20": {{1, 12}, {20, 20}},
		"3,3,3":           {{3, 3}},
		"1-9,2-3":         {{1, 9}},
		"0-999999999":     {{0, 999999999}},
		"007":             {{7, 7}},
	} {
		got, err := ParseSpans(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for text, says := range map[string]string{
		"": `found ""`, "1,": `found ""`, "a": `found "a"`, "1-": `found "1-"`, "-1": `found "-1"`, "+1": `found "+1"`,
		"1-2-3": `found "1-2-3"`, "1000000000": "at most 9 digits", "99999999999999999999": "at most 9 digits", "1.5": `found "1.5"`,
		"9-3": "9-3 runs backwards, want 3-9",
	} {
		_, err := ParseSpans(text)
		require.ErrorContains(t, err, says, text)
	}
}

func TestSpansText(t *testing.T) {
	assert.Equal(t, "3, 7-9", SpansText([]Span{{3, 3}, {7, 9}}))
	var many []Span
	for i := range 20 {
		many = append(many, Span{3 * i, 3 * i})
	}
	assert.Equal(t, "0, 3, 6, 9, 12, 15, 18, 21 and 12 more", SpansText(many))
}

func TestSpansOfFrames(t *testing.T) {
	assert.Empty(t, SpansOf(nil))
	assert.Equal(t, []Span{{7, 7}}, SpansOf([]int{7}))
	assert.Equal(t, []Span{{1, 3}, {5, 5}, {8, 9}}, SpansOf([]int{1, 2, 3, 5, 8, 9}))
	assert.Equal(t, []Span{{1, 3}, {5, 5}}, SpansOf([]int{5, 3, 1, 2, 2}), "in any order, and twice")
}

func TestSpansAreJoined(t *testing.T) {
	given := []Span{{8, 9}, {1, 4}, {3, 5}, {6, 6}}
	assert.Equal(t, []Span{{1, 6}, {8, 9}}, Joined(given))
	assert.Equal(t, []Span{{8, 9}, {1, 4}, {3, 5}, {6, 6}}, given, "they stay as they are")
}
