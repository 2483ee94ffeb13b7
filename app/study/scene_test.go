package study

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/mask"
	"halocline/selection"
)

// transect is a study that uses every part of the document.
func transect(t testing.TB) *Study {
	t.Helper()
	s := New(Clip{
		Path: "/dive/transect/0001.png", First: 1, Count: 72, Rate: [2]int{25, 1}, Noise: [3]float64{0.008, 0.007, 0.011},
		Footage: Footage{Size: 4711, SHA256: strings.Repeat("0123456789abcdef", 4)},
	})
	s.Base.Water = "3C"
	s.Base.Exposure = Constant(0.3)
	s.Base.Path.SetKey(1, 2.4, mask.Straight)
	s.Base.Path.SetKey(60, 3.1, mask.Curved)
	s.Base.Veil[2].Fix(0.04)
	m := s.AddMatte("skin", selection.LCh)
	m.Note = "from \"dive 4\", <smooth>"
	hue := &m.Pick.Limits[selection.Hue]
	hue.Off = false
	hue.SetKey(1, selection.Range{From: 350, To: 20, Before: 6, After: 9}, mask.Straight)
	hue.SetKey(61, selection.Range{From: 20, To: 70, Before: 6, After: 9}, mask.Curved)
	m.Pick.Limits[selection.Sat] = Limit{Soft: ConstantRange(selection.Range{From: 8, To: 40, Before: 3}), Inverted: true}
	m.Edge.Soften.Fix(1.2)
	m.Edge.Despeckle.Fix(0)
	m.Trial.Slope[0].Fix(1.1)
	swimmer := s.AddMask(m, "swimmer", Keep, square(1, 410.5, 220, 80))
	swimmer.Rounded = true
	swimmer.SetKey(square(40, 500, 1.0/3, 90))
	s.AddMask(m, "tape", Drop, square(5, 0, 0, 50)).In = Bound{Set: true, Frame: 5}
	s.AddDab(m, Dab{Frame: 1, X: 433, Y: 260, Radius: 12})
	s.AddDab(m, Dab{Frame: 2, X: 33.25, Y: 26, Radius: 2, Kind: Drop})
	s.KeepProof(m, "soft")
	s.AddMatte("water", selection.HSL)
	s.Extra = `{"camera": [1, 2.50, {"deep": null}]}`
	s.tidy()
	require.NoError(t, s.Validate())
	return s
}

// square is a mask key with four corners.
func square(frame int, x, y, side float64) MaskKey {
	return MaskKey{
		Frame: frame, Inner: 2, Outer: 3, Opacity: 1,
		Points: []Point{{X: x, Y: y}, {X: x + side, Y: y}, {X: x + side, Y: y + side}, {X: x, Y: y + side}},
	}
}

func encoded(t testing.TB, s *Study) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Encode(&b, s))
	return b.String()
}

func decoded(t testing.TB, text string) *Study {
	t.Helper()
	s, err := Decode(strings.NewReader(text))
	require.NoError(t, err)
	return s
}
