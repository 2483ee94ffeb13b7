package study

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// README's reference of settings is made of the tables: rerun with -update after a
// change of one.
func TestReadmeListsTheSettings(t *testing.T) {
	path := filepath.Join("..", "..", "README.md")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	between := regexp.MustCompile(`(?s)(<!-- settings -->\n).*(<!-- end of settings -->\n)`)
	require.True(t, between.Match(text), "README.md has a place for the settings")
	want := between.ReplaceAllString(string(text), "${1}"+strings.ReplaceAll(settingsReference(), "$", "$$")+"${2}")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(want), 0o644))
		text = []byte(want)
	}
	assert.Equal(t, want, string(text))
}

// settingsReference is a table of all numbers that a study holds over time.
func settingsReference() string {
	var b strings.Builder
	b.WriteString("| of | setting | in files | what it does | to begin with | least, most |\n| --- | --- | --- | --- | --- | --- |\n")
	rows := func(of string, all []Spec) {
		for _, s := range all {
			file, label := s.Name, s.Label
			if base, first := strings.CutSuffix(file, "Red"); first {
				file, label = file+", "+base+"Green, "+base+"Blue", strings.TrimSuffix(label, " red")+" of red, green, blue"
			} else if strings.HasSuffix(file, "Green") || strings.HasSuffix(file, "Blue") {
				continue
			}
			fmt.Fprintf(&b, "| %s | %s | `%s` | %s | %s | %s, %s |\n", of, label, strings.ReplaceAll(file, ", ", "`, `"), s.Hint, withUnit(s.Neutral, s.Unit), shortest(s.Min), withUnit(s.Max, s.Unit))
		}
	}
	settings := NewSettings(0)
	base := NewBase()
	rows("base", specsOf(base.Settings()))
	rows("plane", PlaneSpecs)
	rows("mask", []Spec{SearchSpec, InwardSpec, OutwardSpec, OpacitySpec})
	rows("edge", specsOf(settings.Edge.Settings()))
	rows("trial", specsOf(settings.Trial.Settings()))
	rows("trial", []Spec{PivotSpec})
	return b.String()
}

func specsOf(all []Setting) (specs []Spec) {
	for _, s := range all {
		specs = append(specs, s.Spec)
	}
	return specs
}

func withUnit(v float64, unit string) string {
	return strings.TrimSpace(shortest(math.Round(v*1e4)/1e4) + " " + unit)
}

// What the tables say holds together: neutral values and the ends of sliders are
// values that may be had, names are unlike, hints are sentences without a stop.
func TestSettingsHoldTogether(t *testing.T) {
	settings, base := NewSettings(0), NewBase()
	for name, all := range map[string][]Spec{
		"base": specsOf(base.Settings()), "edge": specsOf(settings.Edge.Settings()), "trial": append(specsOf(settings.Trial.Settings()), PivotSpec),
		"mask": {InwardSpec, OutwardSpec, OpacitySpec}, "plane": PlaneSpecs, "controls": controlSpecs(),
	} {
		names := map[string]bool{}
		for _, s := range all {
			place := name + " " + s.Name
			assert.False(t, names[s.Name], place)
			names[s.Name] = true
			for _, v := range []float64{s.Neutral, s.Low, s.High, s.Min, s.Max} {
				assert.NoError(t, s.Check(v), place)
			}
			assert.Less(t, s.Low, s.High, place)
			assert.Positive(t, s.Increment, place)
			assert.LessOrEqual(t, s.Increment, s.High-s.Low, place)
			assert.Regexp(t, `^[A-Z0-9].*[^.]$`, s.Hint, place)
			assert.Regexp(t, `^[a-z]`, s.Label, place)
		}
	}
	s := SettingNamed(settings.Edge.Settings(), "hardenAbout")
	assert.Equal(t, []string{"harden-about", "Harden about"}, []string{s.Flag(), s.Title()})
	assert.EqualError(t, s.Check(3), "harden about is 3, want 0 to 1")
	assert.Panics(t, func() { SettingNamed(nil, "none") })
}

func controlSpecs() (specs []Spec) {
	for _, c := range Controls {
		specs = append(specs, c.Spec)
	}
	return specs
}
