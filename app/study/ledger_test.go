package study

import (
	"fmt"
	"math"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// whole are settings and a base at a frame in which nothing is neutral.
func whole() (colour.Base, SettingsAt) {
	three := [3]float64{0.5, 0.6, 0.7}
	b := colour.Base{Input: colour.HLG, Gains: three, Veil: three, Black: three, Beta: three, Path: 2, Exposure: 3, Contrast: 1.5, Pivot: 0.3}
	pick := selection.Pick{Model: selection.LCh}
	for c := range pick.Limits {
		pick.Limits[c] = selection.Limit{Range: selection.Range{From: 1, To: 2, Before: 3, After: 4}, Inverted: true}
	}
	shape := mask.Shape{Points: []mask.Point{{X: 1, Y: 2}, {X: 3, Y: 4}, {X: 5, Y: 6}}, Rounded: true, Inner: 1, Outer: 2, Opacity: 0.5}
	search := mask.Search{Depth: 24, Tight: true, Dabs: []mask.Dab{{X: 1, Y: 2, Radius: 3}}}
	anchor := mask.Anchor{Frame: 1, Shape: shape, Search: search}
	stretch := &mask.Stretch{Frame: 3, From: &anchor, To: &mask.Anchor{Frame: 7, Shape: shape, Search: search}, Dabs: []mask.TimedDab{{Frame: 4, Dab: mask.Dab{X: 1, Y: 2, Radius: 3}}}}
	taken := SettingsAt{Pick: pick, Smooth: true, Edge: selection.Edge{Despeckle: 1, Align: 2, Harden: 0.3, About: 0.4, Grow: 5, Soften: 6}}
	beside := taken
	beside.Masks = []mask.Layer{{Shape: shape, Search: search}}
	return b, SettingsAt{
		Settle: &SettleAt{Share: 0.5, Before: beside, After: beside},
		Joined: []JoinedAt{{How: TakeAway, Settings: taken}},
		Pick:   pick, Smooth: true, Masks: []mask.Layer{{Shape: shape, Drop: true, Search: search, Stretch: stretch}},
		Edge:  selection.Edge{Despeckle: 1, Align: 2, Harden: 0.3, About: 0.4, Grow: 5, Soften: 6},
		Trial: TrialAt{Slope: three, Offset: three, Power: three, Saturation: 0.4},
	}
}

func digestOfAll(b colour.Base, at SettingsAt) string {
	l := newLedger()
	l.base(b)
	l.matte(New(Clip{}), at, 1)
	l.grade(at.Trial.CDL())
	return l.digest()
}

// noNormal are directions of picks that are not by plane.
var noNormal = regexp.MustCompile(`\.Pick\.Normal\[`)

// noTrial are places of trials that have no part.
var noTrial = regexp.MustCompile(`^matte\.(Joined\[0\]\.Settings|Settle\.(Before|After))\.Trial`)

// Every value that a picture is made of counts: one that joins a type and is
// forgotten in its digest fails here.
func TestDigestHoldsEveryValue(t *testing.T) {
	b, at := whole()
	want := digestOfAll(b, at)
	require.Equal(t, want, digestOfAll(b, at))
	n := 0
	changeEach(t, "base", reflect.ValueOf(&b).Elem(), func(place string) {
		n++
		assert.NotEqual(t, want, digestOfAll(b, at), place)
	})
	changeEach(t, "matte", reflect.ValueOf(&at).Elem(), func(place string) {
		n++
		if place == "matte.Trial.Off" || noTrial.MatchString(place) || noNormal.MatchString(place) {
			return // a trial that is off is not told at all, and others than the matte's own do not come along
		}
		assert.NotEqual(t, want, digestOfAll(b, at), place)
	})
	assert.Greater(t, n, 60)
	require.Equal(t, want, digestOfAll(b, at), "all is as it was")
}

// Of a pick by plane its direction, level and fades count, and nothing of the channels that
// it has not; of one that is off nothing does.
func TestDigestHoldsAPlane(t *testing.T) {
	p := selection.Pick{Model: selection.PlaneModel, Normal: [3]float64{0.6, 0, 0.8}}
	across := &p.Limits[selection.Across]
	across.Range = selection.LevelRange(12, 3, 4)
	digest := func() string {
		l := newLedger()
		l.pick(p)
		return l.digest()
	}
	want := digest()
	changeEach(t, "pick", reflect.ValueOf(&p).Elem(), func(place string) {
		switch {
		case strings.HasSuffix(place, "[2].Range.To"), strings.HasPrefix(place, "pick.Limits[0]"), strings.HasPrefix(place, "pick.Limits[1]"):
			assert.Equal(t, want, digest(), place)
		default:
			assert.NotEqual(t, want, digest(), place)
		}
	})
	across.Off = true
	off := digest()
	p.Normal, across.From = [3]float64{1, 0, 0}, 5
	assert.Equal(t, off, digest())
}

// changeEach changes one plain value in v after the other, and puts it back.
func changeEach(t *testing.T, place string, v reflect.Value, changed func(place string)) {
	old := reflect.ValueOf(v.Interface())
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			changeEach(t, place+"."+v.Type().Field(i).Name, v.Field(i), changed)
		}
		return
	case reflect.Pointer:
		if !v.IsNil() {
			changeEach(t, place, v.Elem(), changed)
		}
		return
	case reflect.Array, reflect.Slice:
		for i := range v.Len() {
			changeEach(t, fmt.Sprintf("%s[%d]", place, i), v.Index(i), changed)
		}
		return
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Int:
		v.SetInt(1 - min(v.Int(), 1))
	case reflect.Float64:
		v.SetFloat(v.Float() + 1e-9)
	default:
		t.Fatalf("%s is a %v: say how to change it", place, v.Kind())
	}
	changed(place)
	v.Set(old)
}

// Entries cannot run into each other.
func TestLedgerEntriesStayApart(t *testing.T) {
	digest := func(write func(l *ledger)) string {
		l := newLedger()
		write(l)
		return l.digest()
	}
	assert.NotEqual(t, digest(func(l *ledger) { l.line("a", 1, 2) }), digest(func(l *ledger) { l.line("a", 12) }))
	assert.NotEqual(t, digest(func(l *ledger) { l.line("a", "x\nb 1") }), digest(func(l *ledger) { l.line("a", "x"); l.line("b", 1) }))
	negative := math.Copysign(0, -1)
	assert.Equal(t, digest(func(l *ledger) { l.line("a", 0.0) }), digest(func(l *ledger) { l.line("a", negative) }), "-0 is 0")
	assert.Equal(t, digest(func(*ledger) {}), digest(func(l *ledger) {
		l.number("a", 2, 2)
		l.triple("b", [3]float64{1, 1, 1}, [3]float64{1, 1, 1})
		l.word("c", "sRGB", "sRGB")
		l.flag("d", false)
	}), "what is neutral is left out")
	assert.Panics(t, func() { digest(func(l *ledger) { l.line("a", []int{1}) }) })
}

// The names of curves and models are written out for all there are.
func TestDigestNamesAreComplete(t *testing.T) {
	for i := range colour.TransferNames() {
		assert.NotEmpty(t, inputEntries[colour.Transfer(i)])
	}
	for m := range selection.Models {
		assert.NotEmpty(t, modelEntries[m])
	}
	assert.Len(t, channelEntries, len(selection.Pick{}.Limits))
}
