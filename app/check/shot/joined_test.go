package shot

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// takesIn gives a shot another matte of the same pick, with a keep mask of points at each
// of the frames that keys names, and takes it in.
func (s *Shot) takesIn(name string, how study.How, keys map[int][]mask.Point) *study.Matte {
	doc := s.Study
	other := doc.AddMatte(name, selection.HSL)
	other.Pick = doc.Mattes[0].Pick
	track := mask.Track{}
	for n, points := range keys {
		track.SetKey(mask.Key{Frame: n, Points: points, Opacity: 1, Outer: 4})
	}
	if len(keys) > 0 {
		doc.AddMask(other, "about", study.Keep, track.Keys[0]).Track = track
	}
	doc.Mattes[0].TakeIn(other.ID, how)
	s.Settings = &doc.Mattes[0].Settings
	s.Dabs = doc.DabsOf(&doc.Mattes[0])
	return other
}

// The halves of the square, by masks that overlap by 4 px and more.
var (
	leftHalf  = rectangle(40, 20, 84, 100)
	rightHalf = rectangle(76, 20, 125, 100)
)

// A mask that ends where another matte goes on cuts through nothing; where that one is
// taken away, or ends there too, it does as before.
func TestAMaskThatEndsWhereAnotherMatteGoesOn(t *testing.T) {
	r := &reel{w: 200, h: 120, left: standing}
	half := func() *Shot { return r.shot(t, 1, map[int][]mask.Point{1: leftHalf}) }
	alone := judgedFrames(t, half())[1]
	require.Greater(t, *alone.Cut, 0.75*squareSide)
	for _, how := range []study.How{study.Add, study.Touching} {
		s := half()
		s.takesIn("right", how, map[int][]mask.Point{1: rightHalf})
		whole := judgedFrames(t, s)[1]
		assert.InDelta(t, squareSide*squareSide/(200.*120), whole.Area, 0.001, "%v", how)
		assert.Zero(t, *whole.Cut, "%v", how)
		assert.Less(t, *whole.Band, *alone.Band/10, "%v", how)
	}
	away := half()
	away.takesIn("top", study.TakeAway, map[int][]mask.Point{1: rectangle(40, 20, 125, squareTop+squareSide/2)})
	assert.InDelta(t, *alone.Cut/2, *judgedFrames(t, away)[1].Cut, 2, "of the lower half")
	within := half()
	within.takesIn("all", study.Within, nil)
	assert.InDelta(t, *alone.Cut, *judgedFrames(t, within)[1].Cut, 1)
}

// A key of a mask that is set wrong in a matte that is taken in is told of the whole, with
// the matte's name; the matte's own masks lie right.
func TestShiftOfAMaskThatIsTakenIn(t *testing.T) {
	r := &reel{w: 240, h: 140, left: standing, sigma: 0.01}
	about := func(right float64) []mask.Point { return rectangle(44+right, 24, 116+right, 96) }
	s := r.shot(t, 25, map[int][]mask.Point{1: about(0), 13: about(0)})
	s.takesIn("other", study.Within, map[int][]mask.Point{1: about(0), 9: about(0), 13: about(12), 17: about(0), 25: about(0)})
	var line Timeline
	require.NoError(t, s.Each(t.Context(), line.Update(s), line.Add))
	all := line.Judged()
	require.Len(t, all[12].Shifts, 2)
	assert.InDelta(t, 0, all[12].Shifts[0].Right, 0.5)
	assert.InDelta(t, 12, all[12].Shifts[1].Right, 1)
	assert.Equal(t, s.Study.Mattes[1].Masks[0].ID, all[12].Shifts[1].Mask)
	found := line.Worst(3)
	require.NotEmpty(t, found)
	assert.Equal(t, 13, found[0].Frame)
	assert.Equal(t, `sits off: mask "about" of matte "other" lies 12 px to the right of its usual place around what is picked`, found[0].Sentence)
	assert.True(t, found[0].StandsOut())

	// After the key is mended the frames that it reaches are judged anew, and no others.
	mended := *s
	mended.Study = s.Study.Clone()
	mended.Settings = &mended.Study.Mattes[0].Settings
	mended.Study.Mattes[1].Masks[0].Keys[2].Points = about(0)
	assert.Equal(t, span(10, 17), line.Update(&mended))
}

// What is looked at of a frame reaches as far as what is taken in, and as a grown and
// softened edge: the figures are those of the whole frame.
func TestFiguresOfAllThatIsJoined(t *testing.T) {
	r := &reel{w: 480, h: 360, left: standing, sigma: 0.01}
	grown := func(how study.How) *Shot {
		s := r.shot(t, 3, map[int][]mask.Point{1: rectangle(45, 25, 80, 95)})
		other := s.takesIn("far", how, map[int][]mask.Point{1: rectangle(60, 40, 95, 75)})
		other.Pick.Limits[selection.Hue].Off = true // all of its mask
		other.Edge.Grow.Fix(90)
		s.Settings.Edge.Grow.Fix(70)
		s.Settings.Edge.Soften.Fix(6)
		return s
	}
	for how := range study.HowNames() {
		s := grown(study.How(how))
		part := judgedFrames(t, s)
		requireSameFigures(t, judgedWhole(t, s), part, study.How(how).String())
	}
	// A matte without masks that is added reaches everything.
	s := r.shot(t, 1, map[int][]mask.Point{1: rectangle(300, 200, 340, 240)})
	s.takesIn("unmasked", study.Add, nil)
	assert.InDelta(t, squareSide*squareSide/(480.*360), judgedFrames(t, s)[1].Area, 0.001)
}

// What the dabs of a matte that is taken in say of the whole counts: without them there
// is no plane.
func TestLeakIsByTheDabsOfAllThatIsJoined(t *testing.T) {
	r := &reel{w: 200, h: 120, left: standing, sigma: 0.01}
	s := r.shot(t, 1, nil)
	s.Study.Mattes[0].Dabs = s.Study.Mattes[0].Dabs[:1] // to keep
	s.Settings.Pick.Limits[selection.Hue].Off = true    // everything
	other := s.takesIn("green", study.TakeAway, nil)
	require.Len(t, s.Dabs, 1)
	assert.Nil(t, judgedFrames(t, s)[1].Dropped)
	s.Study.AddDab(other, study.Dab{Frame: 1, X: 20, Y: 60, Radius: 10, Kind: study.Keep})
	other.Pick.Limits[selection.Hue] = study.Limit{Soft: study.ConstantRange(selection.Range{From: -30, To: 30, Before: 20, After: 20}), Inverted: true}
	s.Dabs = s.Study.DabsOf(&s.Study.Mattes[0])
	f := judgedFrames(t, s)[1]
	require.NotNil(t, f.Dropped)
	assert.Less(t, *f.Dropped, 0.02, "the green is taken away")
	s.Settings.TakeOut(other.ID)
	assert.InDelta(t, 1-squareSide*squareSide/(200.*120), *judgedFrames(t, s)[1].Dropped, 0.01)
}
