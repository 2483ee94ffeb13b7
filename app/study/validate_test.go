package study

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
	"halocline/selection"
)

func TestValidate(t *testing.T) {
	hue := func(s *Study) *Limit { return &s.Mattes[0].Pick.Limits[selection.Hue] }
	chroma := func(s *Study) *Limit { return &s.Mattes[0].Pick.Limits[selection.Sat] }
	for want, spoil := range map[string]func(*Study){
		"clip: path is empty":                                                         func(s *Study) { s.Clip.Path = "" },
		"clip: count is 0, want 1 to 1000000000":                                      func(s *Study) { s.Clip.Count = 0 },
		"clip: fps is 25/0, want both or neither":                                     func(s *Study) { s.Clip.Rate[1] = 0 },
		"clip: noise green is NaN, want 0 to 1":                                       func(s *Study) { s.Clip.Noise[1] = math.NaN() },
		"clip: size is -1, want 0 or more":                                            func(s *Study) { s.Clip.Size = -1 },
		`clip: sha256 is "ABC", want 64`:                                              func(s *Study) { s.Clip.SHA256 = "ABC" },
		`base: water is "Bath", want one of I, IA, IB`:                                func(s *Study) { s.Base.Water = "Bath" },
		"base: gainRed is 0, want 0.001 to 1000":                                      func(s *Study) { s.Base.Gain[0].Fix(0) },
		"base: path at frame 1 is +Inf, want 0 to 1000":                               func(s *Study) { s.Base.Path.Keys[0].Value = math.Inf(1) },
		"base: path key at frame 60 comes after that at frame 60, want rising frames": func(s *Study) { s.Base.Path.Keys[0].Frame = 60 },
		"base: path key at frame 1: way is Way(7)":                                    func(s *Study) { s.Base.Path.Keys[0].Way = mask.Way(7) },
		`matte "skin": hue at frame 1 fadeBefore is -3, want 0 to 360`:                func(s *Study) { hue(s).Keys[0].Value.Before = -3 },
		`matte "skin": hue at frame 61 from is 721, want -360 to 720`:                 func(s *Study) { hue(s).Keys[1].Value.From = 721 },
		`matte "skin": chroma from is 41, want at most to, 40`:                        func(s *Study) { chroma(s).Value.From = 41 },
		`matte "skin": chroma fadeAfter is NaN, want 0 to 140`:                        func(s *Study) { chroma(s).Value.After = math.NaN() },
		`matte "skin": model is 5, want hsl, lch or plane`:                            func(s *Study) { s.Mattes[0].Pick.Model = 5 },
		`matte "skin": edge: harden is 1, want 0 to 0.99`:                             func(s *Study) { s.Mattes[0].Edge.Harden.Fix(1) },
		`matte "skin": trial: powerBlue is 0, want 0.01 to 64`:                        func(s *Study) { s.Mattes[0].Trial.Power[2].Fix(0) },
		`matte "skin": id 1 is taken`:                                                 func(s *Study) { s.Mattes[0].ID = 1 },
		`matte "water": id is 0, want 1 or more`:                                      func(s *Study) { s.Mattes[1].ID = 0 },
		`matte "water": id is 99, want below the next id, 9`:                          func(s *Study) { s.Mattes[1].ID = 99 },
		`matte "Skin": name "Skin" is taken`:                                          func(s *Study) { s.Mattes[1].Name = "Skin" },
		`matte "skin.": name "skin." would make the same file name as "skin"`:         func(s *Study) { s.Mattes[1].Name = "skin." },
		`matte " ": name is empty`:                                                    func(s *Study) { s.Mattes[1].Name = " " },
		`matte "a\nb": name "a\nb" holds a control character`:                         func(s *Study) { s.Mattes[1].Name = "a\nb" },
		`matte "\xff": name "\xff" is not valid UTF-8`:                                func(s *Study) { s.Mattes[1].Name = "\xff" },
		"name has 101 characters, want at most 100":                                   func(s *Study) { s.Mattes[1].Name = strings.Repeat("n", 101) },
		`matte "skin": mask "swimmer": key at frame 40 has 3 points, want 4 as at frame 1`: func(s *Study) {
			k := &s.Mattes[0].Masks[0].Keys[1]
			k.Points = k.Points[1:]
		},
		`mask "swimmer": key at frame 1: polygon has 2 points, want 3 or more`: func(s *Study) {
			k := &s.Mattes[0].Masks[0].Keys[0]
			k.Points = k.Points[2:]
		},
		`mask "swimmer": key at frame 1: point 2 is (NaN, 220), want coordinates of -1000000 to 1000000`: func(s *Study) {
			s.Mattes[0].Masks[0].Keys[0].Points[1].X = math.NaN()
		},
		`mask "swimmer": key at frame 1: outer is -2, want 0 to 10000`: func(s *Study) { s.Mattes[0].Masks[0].Keys[0].Outer = -2 },
		`mask "swimmer": key at frame 1: opacity is 1.5, want 0 to 1`:  func(s *Study) { s.Mattes[0].Masks[0].Keys[0].Opacity = 1.5 },
		`mask "swimmer": key at frame 1: it has 10001 points, want at most 10000`: func(s *Study) {
			s.Mattes[0].Masks[0].Keys[0].Points = make([]mask.Point, maxPoints+1)
		},
		`mask "swimmer": key at frame 1: opacity is NaN, want 0 to 1`:                          func(s *Study) { s.Mattes[0].Masks[0].Keys[0].Opacity = math.NaN() },
		`mask "swimmer": key at frame 1: way is Way(7), want straight, step, curved or follow`: func(s *Study) { s.Mattes[0].Masks[0].Keys[0].Way = mask.Way(7) },
		`mask "swimmer": key at frame 40 comes after that at frame 40, want rising frames`:     func(s *Study) { s.Mattes[0].Masks[0].Keys[0].Frame = 40 },
		`mask "swimmer": key at frame 1000000001: frame is 1000000001, want`:                   func(s *Study) { s.Mattes[0].Masks[0].Keys[1].Frame = maxCount + 1 },
		`mask "swimmer": it has no key, want one or more`:                                      func(s *Study) { s.Mattes[0].Masks[0].Keys = nil },
		`mask "swimmer": kind is Kind(4), want keep or drop`:                                   func(s *Study) { s.Mattes[0].Masks[0].Kind = 4 },
		`mask "tape": in is frame 5, want at most out, frame 4`:                                func(s *Study) { s.Mattes[0].Masks[1].Out = Bound{Set: true, Frame: 4} },
		`mask "swimmer": name "swimmer" is taken`:                                              func(s *Study) { s.Mattes[0].Masks[1].Name = "swimmer" },
		`dab 5: radius is 0, want more`:                                                        func(s *Study) { s.Mattes[0].Dabs[0].Radius = 0 },
		`dab 6: y is -Inf, want -1000000 to 1000000`:                                           func(s *Study) { s.Mattes[0].Dabs[1].Y = math.Inf(-1) },
		`dab 5: id 5 is taken`:                                                                 func(s *Study) { s.Mattes[0].Dabs[1].ID = 5 },
		`matte "skin": proof "soft": edge: grow is 501, want -500 to 500`:                      func(s *Study) { s.Mattes[0].Proofs[0].Edge.Grow.Fix(501) },
		"next id is 9007199254740993, want 1 to":                                               func(s *Study) { s.Next = maxID + 1 },
		"extra: line 1, column 1: invalid character":                                           func(s *Study) { s.Extra = "x" },
		"extra is a list of 0, want an object":                                                 func(s *Study) { s.Extra = "[]" },
		"number of mattes is 1001, want 0 to 1000":                                             func(s *Study) { s.Mattes = make([]Matte, 1001) },
	} {
		s := transect(t)
		spoil(s)
		err := s.Validate()
		require.Error(t, err, want)
		assert.True(t, strings.HasPrefix(err.Error(), "study: "), err)
		assert.Contains(t, err.Error(), want)
	}
}
