package study

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// strange is a study with fields that no version knows, in each kind of object,
// also in such as are neutral otherwise.
func strange(t testing.TB) string {
	text := encoded(t, transect(t))
	for _, swap := range [][2]string{
		{`"halocline": 2,`, `"halocline": 2, "sonar": {"depth": [1, 2.50, null], "deep": {"er": "\u00e9"}},`},
		{`"first": 1,`, `"first": 1, "lens": "dome",`},
		{`"water": "3C",`, `"water": "3C", "tint": {"value": 1e400},`},
		{`"exposure": {"value": 0.3}`, `"exposure": {"value": 0.3, "unit": "stops"}, "contrast": {"value": 1, "curve": true}`},
		{`"way": "curved"}`, `"way": "curved", "tension": 0.5}`},
		{`"model": "lch",`, `"model": "lch", "plane": {"level": 12}, "lightness": {"off": true, "value": {"from": 0, "to": 100, "knee": 1}},`},
		{`"rounded": true,`, `"rounded": true, "depth": 24,`},
		{`"outer": 3,`, `"outer": 3, "near": true,`},
		{`"edge": {`, `"edge": {"sharpness": {"value": 0.4}, `},
		{`"trial": {`, `"trial": {"look": "warm", `},
		{`"radius": 12,`, `"radius": 12, "meant": "masks",`},
		{`"name": "soft",`, `"name": "soft", "colour": [1, 2],`},
	} {
		require.Contains(t, text, swap[0])
		text = strings.Replace(text, swap[0], swap[1], 1)
	}
	return text
}

func TestUnknownFieldsAreKept(t *testing.T) {
	s := decoded(t, strange(t))
	assert.Equal(t, []string{
		"clip.lens", "base.path.keys[1].tension", "base.exposure.unit", "base.contrast.curve", "base.tint",
		"mattes[0].pick.lightness.value.knee", "mattes[0].pick.plane", "mattes[0].masks[0].keys[0].near", "mattes[0].masks[0].depth",
		"mattes[0].edge.sharpness", "mattes[0].trial.look", "mattes[0].dabs[0].meant", "mattes[0].proofs[0].colour", "sonar",
	}, s.Unknown())
	text := encoded(t, s)
	for _, want := range []string{
		`"sonar": {"depth": [1, 2.50, null], "deep": {"er": "é"}}`, `"lens": "dome"`, `"tint": {"value": 1e400}`, `"exposure": {"value": 0.3, "unit": "stops"}`,
		`"contrast": {"value": 1, "curve": true}`, `"way": "curved", "tension": 0.5}`, `"plane": {"level": 12}`, `"knee": 1`, `"depth": 24`, `"near": true`,
		`"sharpness": {"value": 0.4}`, `"look": "warm"`, `"meant": "masks"`, `"colour": [1, 2]`,
	} {
		assert.Equal(t, 1, strings.Count(text, want), "%s in\n%s", want, text)
	}
	again := decoded(t, text)
	assert.Equal(t, text, encoded(t, again), "the same study gives the same bytes")
	plain := transect(t)
	assert.Equal(t, plain.Digest(30, &plain.Mattes[0]), s.Digest(30, &s.Mattes[0]), "they change nothing")
	assert.Empty(t, plain.Unknown())
}

// What is not known stays with its object when others come and go before it, and
// goes with it.
func TestUnknownFieldsGoWithTheirObjects(t *testing.T) {
	session := NewSession(decoded(t, strange(t)), "")
	require.NoError(t, session.Edit("reorder", func(s *Study) error {
		s.Mattes[0], s.Mattes[1] = s.Mattes[1], s.Mattes[0]
		s.Mattes[1].Masks[0].SetKey(square(0, 1, 1, 30))
		return nil
	}))
	text := encoded(t, session.Study())
	assert.Contains(t, text, `"depth": 24`)
	assert.Equal(t, 1, strings.Count(text, `"near": true`))
	again := decoded(t, text)
	assert.Contains(t, again.Unknown(), "mattes[1].masks[0].keys[1].near")
	require.NoError(t, session.Edit("delete", func(s *Study) error { return s.RemoveMatte(s.Mattes[1].ID) }))
	text = encoded(t, session.Study())
	assert.NotContains(t, text, "depth\": 24")
	assert.Contains(t, text, `"lens": "dome"`)
	session.Undo()
	assert.Contains(t, encoded(t, session.Study()), `"depth": 24`)
}
