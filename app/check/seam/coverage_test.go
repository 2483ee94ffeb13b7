package seam

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// The still's colours.
var (
	squareRed   = colour.RGB{R: 0.7, G: 0.3, B: 0.25}
	groundGreen = colour.RGB{R: 0.25, G: 0.5, B: 0.3}
)

func flatDab(keep bool, c colour.RGB) selection.Dab {
	return selection.Dab{Keep: keep, Colours: []colour.RGB{c}}
}

// bothDabs are one on the square and one on the ground.
var bothDabs = []selection.Dab{flatDab(true, squareRed), flatDab(false, groundGreen)}

// masked is a still whose matte is one mask alone, a rectangle, with a warm trial.
func masked(t *testing.T, film *still, r image.Rectangle) (*render.Renderer, render.Request) {
	t.Helper()
	renderer, q := film.trialled(t)
	set := study.NewSettings(selection.LCh)
	set.Trial = q.Settings.Trial
	x0, y0, x1, y1 := float64(r.Min.X), float64(r.Min.Y), float64(r.Max.X), float64(r.Max.Y)
	points := []mask.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
	set.Masks = []study.Mask{{ID: 90, Name: "box", Kind: study.Keep, Track: mask.Track{Keys: []study.MaskKey{{Frame: 1, Points: points, Opacity: 1}}}}}
	q.Settings = &set
	return renderer, q
}

func covered(t *testing.T, r *render.Renderer, q render.Request, dabs []selection.Dab) Coverage {
	t.Helper()
	f, err := On(t.Context(), r, q, 1)
	require.NoError(t, err)
	c, err := f.Coverage(t.Context(), dabs, 1)
	require.NoError(t, err)
	return c
}

// changeOf is what the trial of trialled changes of a colour, in CIEDE2000.
func changeOf(c colour.RGB) float64 { return c.Lab().DeltaE(warmTrial(1).Colour(c).Lab()) }

const left = 300

var square = image.Rect(left, squareTop, left+squareSide, squareTop+squareSide)

// A mask that goes on over the ground by as much again spills what the grade changes there.
func TestSpilledGroundIsCounted(t *testing.T) {
	film := &still{w: 960, h: 400, left: left, sigma: 0.01}
	wide := square
	wide.Max.X += squareSide
	want := changeOf(groundGreen) / (changeOf(groundGreen) + changeOf(squareRed))
	for _, factor := range []int{1, 2} {
		for _, region := range []image.Rectangle{{}, image.Rect(258, 0, 640, 260)} {
			r, q := masked(t, film, wide)
			q.Factor, q.Region = factor, region
			c := covered(t, r, q, bothDabs)
			assert.InDelta(t, want, c.Spilled, 0.1*want, "%d %v", factor, region)
			assert.Zero(t, c.Short)
			assert.Zero(t, c.Beyond)
			require.NotNil(t, c.SpilledAt)
			assert.InDelta(t, left+1.5*squareSide, c.SpilledAt.X, 8, "%d %v", factor, region)
			assert.InDelta(t, squareTop+0.5*squareSide, c.SpilledAt.Y, 8, "%d %v", factor, region)
			assert.Contains(t, VerdictOn(Figures{}, &c).String(), "of the grade lies on what looks dropped")
		}
	}
}

// A mask that holds half of the square leaves as much out as it has.
func TestAMatteThatStopsShort(t *testing.T) {
	half := square
	half.Max.X -= squareSide / 2
	r, q := masked(t, &still{w: 960, h: 400, left: left, sigma: 0.01}, half)
	c := covered(t, r, q, bothDabs)
	assert.InDelta(t, 1, c.Short, 0.2)
	assert.Zero(t, c.Spilled)
	require.NotNil(t, c.ShortAt)
	assert.InDelta(t, left+0.75*squareSide, c.ShortAt.X, 8)
	assert.Contains(t, VerdictOn(Figures{}, &c).String(), "It stops short")
}

// Where edges part what looks kept from the matte, it is another thing.
func TestWhatAnEdgePartsIsNotLeftOut(t *testing.T) {
	r, q := masked(t, &still{w: 960, h: 400, left: left, sigma: 0.01}, square)
	c := covered(t, r, q, bothDabs)
	assert.Equal(t, Coverage{}, c)
	assert.Equal(t, "The edge carries this grade.", VerdictOn(Figures{}, &c).String())
}

// What a matte's softness carries far beyond its masks is counted.
func TestWhatLiesBeyondTheMasks(t *testing.T) {
	film := &still{w: 960, h: 400, left: left, sigma: 0.01}
	for soften, reaches := range map[float64]bool{1: false, 16: true} {
		r, q := masked(t, film, square)
		q.Settings.Edge.Soften = study.Constant(soften)
		c := covered(t, r, q, bothDabs)
		assert.Equal(t, reaches, c.ReachesBeyond(), "%v px: %v", soften, c.Beyond)
	}
	assert.Equal(t, "9 % of the grade lies beyond the mask's edge.", VerdictOn(Figures{}, &Coverage{Beyond: 0.09}).String())
}

// A verdict that nothing backs is none.
func TestWhatCannotBeTold(t *testing.T) {
	film := &still{w: 960, h: 400, left: left, sigma: 0.01}
	purple := colour.RGB{R: 0.5, G: 0.2, B: 0.7}
	for _, tt := range []struct {
		name string
		dabs []selection.Dab
		at   image.Rectangle
		join bool
		want string
	}{
		{"no dabs", nil, square, false, "Cannot tell: no dabs, no mask that finds its edge."},
		{"keep dabs alone", bothDabs[:1], square, false, "Cannot tell: no drop dabs, no mask that finds its edge."},
		{"drop dabs alone", bothDabs[1:], square, false, "Cannot tell: no keep dabs, no mask that finds its edge."},
		{"other colours", []selection.Dab{flatDab(true, purple), flatDab(false, colour.RGB{B: 1})}, square, false, "Cannot tell: most of what is graded looks like no dab."},
		{"a small matte", bothDabs, image.Rect(left, squareTop, left+squareSide, squareTop+12), false, "Cannot tell: the matte is too small."},
		{"another matte taken in", bothDabs, square, true, "Cannot tell: it takes in other mattes."},
	} {
		r, q := masked(t, film, tt.at)
		if tt.join {
			q.Settings.Joins = []study.Join{{With: q.Study.Mattes[0].ID, How: study.Add}}
		}
		c := covered(t, r, q, tt.dabs)
		assert.Equal(t, tt.want, VerdictOn(Figures{}, &c).String(), tt.name)
	}
	edge := Figures{Misfit: 2, Rim: 2}
	assert.Contains(t, VerdictOn(edge, &Coverage{Unknown: "no dabs"}).String(), "harder than the picture", "that is known all the same")
}

// A mask that is led to the edge backs the verdict without dabs.
func TestAMaskThatFindsItsEdgeTells(t *testing.T) {
	r, q := masked(t, &still{w: 960, h: 400, left: left, sigma: 0.01}, square.Inset(-12))
	q.Settings.Masks[0].Search = 12
	c := covered(t, r, q, nil)
	assert.Equal(t, Coverage{}, c)
	assert.Contains(t, VerdictOn(Figures{}, &Coverage{Crossed: 30}).String(), "It may stop short")
}

// Without a grade nothing is counted, nor where it is too little to be seen.
func TestCoverageIsOfAGradeThatShows(t *testing.T) {
	wide := square
	wide.Max.X += squareSide
	film := &still{w: 960, h: 400, left: left, sigma: 0.01}
	r, q := masked(t, film, wide)
	q.Settings.Trial.Off = true
	assert.Equal(t, Coverage{}, covered(t, r, q, bothDabs))
	r, q = masked(t, film, wide)
	faint := colour.NeutralCDL()
	faint.Slope = [3]float64{1.005, 1.005, 1.005}
	require.NoError(t, q.Settings.Trial.SetCDL(1, faint))
	assert.Zero(t, covered(t, r, q, bothDabs).Spilled)
}
