package view

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestNamesOfViews(t *testing.T) {
	assert.Equal(t, []string{"Frame", "Matte", "Hatch", "Cut-out", "Reasons", "Trial"}, Names(All))
	for _, v := range All {
		for _, name := range []string{v.String(), v.Name()} {
			got, err := Parse(name, All...)
			require.NoError(t, err)
			assert.Equal(t, v, got)
		}
	}
	v, err := Parse("CUTOUT", Matte, Cutout)
	require.NoError(t, err)
	assert.Equal(t, Cutout, v)
	_, err = Parse("reasons", Matte, Hatch, Cutout, Trial)
	assert.EqualError(t, err, `view: found "reasons", want one of matte, hatch, cutout, trial`)
	assert.Equal(t, "view 9", View(9).String())
}
