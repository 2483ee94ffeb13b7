package proof

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func value(v float64) *float64 { return &v }

func TestOrderPutsTheBestFirst(t *testing.T) {
	all := []Figures{
		{Separation: value(0.9), Rim: value(2), Specks: value(3)},
		{Separation: value(0.99), Rim: value(1)},
		{Rim: value(2), Specks: value(1)},
		{Separation: value(0.95), Specks: value(1)},
	}
	for name, want := range map[string][]int{
		"separation": {1, 3, 0, 2}, "Rim": {1, 0, 2, 3}, "specks": {2, 3, 0, 1}, "misfit": {0, 1, 2, 3},
	} {
		c, err := ColumnNamed(name)
		require.NoError(t, err)
		assert.Equal(t, want, c.Order(all), name)
	}
	_, err := ColumnNamed("beauty")
	assert.EqualError(t, err, `proof: found "beauty" to sort by, want one of separation, area, edge width, specks, holes, flicker, rim, bleed, misfit, edge mismatch, masked edge`)
}

func TestFiguresAsText(t *testing.T) {
	f := Figures{Separation: value(0.9987), Area: value(0.019), EdgeWidth: value(16.31), Specks: value(2), Rim: value(1.336), EdgeMismatch: value(0.0567), MaskedEdge: value(0.187)}
	want := map[string]string{
		"separation": "99.9", "area": "1.9 %", "edge width": "16.3 px", "specks": "2", "holes": "…", "flicker": "…",
		"rim": "1.34 ΔE", "bleed": "…", "misfit": "…", "edge mismatch": "0.057", "masked edge": "19 %",
	}
	for _, c := range Columns() {
		assert.Equal(t, want[c.Name], c.Text(f), c.Name)
		if f2 := f; want[c.Name] == "…" {
			f2.Whole = true
			assert.Equal(t, "–", c.Text(f2), c.Name)
		}
	}
}

func TestCSV(t *testing.T) {
	sheet, _ := sheetOn(t, &wall{w: 8, h: 8, left: 4}, 1)
	sweep := swept(t, sheet, "soften=0:12:3")
	sheet.Items[1].Note, sheet.Items[1].Kept, sheet.Items[1].KeptAs = "soft, \"enough\"", 7, "soft"
	all := []Figures{
		{Frames: 1, Whole: true, Separation: value(1), Area: value(0.5), Specks: value(0), Holes: value(1. / 3), Rim: value(0.68045537), Err: errors.New("x")},
		{Frames: 2, Whole: true, Flicker: value(0.0123456789)},
		{},
	}
	var out strings.Builder
	require.NoError(t, WriteCSV(&out, sheet.Items, all, []int{1, 0, 2}, sweep))
	assert.Equal(t, `proof,note,kept as,now,soften (px),frames,separation (of 100),area (%),edge width (px),specks,holes,flicker (%),rim (dE00),bleed (dE00),misfit (dE00),edge mismatch (of 1),masked edge (%)
soften 3 px,"soft, ""enough""",soft,no,3,2,,,,,,1.23457,,,,,
soften 0 px,,,yes,0,1,100,50,,0,0.333333,,0.680455,,,,
soften 12 px,,,no,12,0,,,,,,,,,,,
`, out.String())
	out.Reset()
	require.NoError(t, WriteCSV(&out, sheet.Items[:1], all, []int{0}, nil))
	assert.Contains(t, out.String(), "proof,note,kept as,now,value,frames,")
	assert.ErrorContains(t, WriteCSV(full{}, sheet.Items, all, []int{0}, sweep), "proof: figures cannot be written: no room")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room") }
