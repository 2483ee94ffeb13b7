package staging

import (
	"fmt"
	"image"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// A cutScore counts outlines by whether the subject crosses their line over 24 pixels or more,
// and by what is said.
type cutScore struct {
	cut, told     int // that cut, and of these that are told at the place
	clean, silent int // that do not, and of these of which nothing is told
	right, wrong  int // places that are told
}

func (s *cutScore) add(o cutScore) {
	s.cut, s.told, s.clean, s.silent = s.cut+o.cut, s.told+o.told, s.clean+o.clean, s.silent+o.silent
	s.right, s.wrong = s.right+o.right, s.wrong+o.wrong
}

func (s cutScore) String() string {
	return fmt.Sprintf("told %d of %d that cut, silent on %d of %d that do not; places right %d, wrong %d", s.told, s.cut, s.silent, s.clean, s.right, s.wrong)
}

// cutScores are those of outlines that cut, that are drawn loosely, and on the edge.
type cutScores struct{ cut, loose, on cutScore }

// beyondLine is how far from a line it is looked whether the subject is there, in pixels.
const beyondLine = 4

// A chord is where the subject crosses an outline, by its middle and its length in pixels.
type chord struct {
	at     mask.Point
	length float64
}

// chordsOf walks along an outline pixel by pixel and gathers where the truth lies on both
// sides of it.
func chordsOf(points []mask.Point, truth colour.Plane) (all []chord) {
	is := func(x, y float64) bool {
		p := image.Pt(int(math.Floor(x)), int(math.Floor(y)))
		return p.In(truth.Bounds()) && truth.At(p.X, p.Y) > 0.5
	}
	var line []mask.Point
	var across []bool
	for i, a := range points {
		b := points[(i+1)%len(points)]
		n := math.Hypot(b.X-a.X, b.Y-a.Y)
		dx, dy := (b.X-a.X)/n, (b.Y-a.Y)/n
		for k := 0.; k < n; k++ {
			x, y := a.X+k*dx, a.Y+k*dy
			line = append(line, mask.Point{X: x, Y: y})
			across = append(across, is(x-beyondLine*dy, y+beyondLine*dx) && is(x+beyondLine*dy, y-beyondLine*dx))
		}
	}
	for i := 0; i < len(line); i++ {
		from := i
		for i < len(line) && across[i] {
			i++
		}
		if i > from {
			all = append(all, chord{line[(from+i)/2], float64(i - from)})
		}
	}
	return all
}

// scoreCut sees what is said of a loose outline.
func scoreCut(t *testing.T, take *Take, truth colour.Plane, s mask.Shape) (score cutScore) {
	t.Helper()
	set := take.Study.Mattes[0].Settings
	frame := take.Study.Clip.First
	set.Masks = []study.Mask{{ID: 1000, Kind: study.Keep, Track: mask.Track{Search: searchDepth, Keys: []study.MaskKey{{Frame: frame, Points: s.Points, Opacity: 1}}}}}
	o, err := take.Renderer.Outlines(t.Context(), render.Request{Study: take.Study, Settings: &set, Frame: frame})
	require.NoError(t, err)
	chords := chordsOf(s.Points, truth)
	told := make([]bool, len(chords))
	for _, c := range o[0].Found.Crossings {
		right := false
		for i, h := range chords {
			if math.Hypot(h.at.X-c.At.X, h.at.Y-c.At.Y) <= (h.length+c.Length)/2 {
				told[i], right = true, true
			}
		}
		if right {
			score.right++
		} else {
			score.wrong++
		}
	}
	hit := false
	for i, h := range chords {
		if h.length >= 24 {
			score.cut, hit = 1, hit || told[i]
		}
	}
	switch {
	case score.cut == 0:
		score.clean = 1
		if len(o[0].Found.Crossings) == 0 {
			score.silent = 1
		}
	case hit:
		score.told = 1
	}
	return score
}

// cutAt leaves out of an outline what lies further than at along a direction.
func cutAt(s mask.Shape, dx, dy, at float64) mask.Shape {
	var out []mask.Point
	past := func(p mask.Point) float64 { return dx*p.X + dy*p.Y - at }
	for i, a := range s.Points {
		b := s.Points[(i+1)%len(s.Points)]
		if past(a) <= 0 {
			out = append(out, a)
		}
		if (past(a) <= 0) != (past(b) <= 0) {
			k := past(a) / (past(a) - past(b))
			out = append(out, mask.Point{X: a.X + k*(b.X-a.X), Y: a.Y + k*(b.Y-a.Y)})
		}
	}
	s.Points = out
	return s
}

// shareBeyond is where along a direction a share of the truth within an outline lies further.
func shareBeyond(t *testing.T, truth colour.Plane, s mask.Shape, dx, dy, share float64) float64 {
	t.Helper()
	var drawn colour.Plane
	require.NoError(t, s.Draw(t.Context(), &drawn, mask.Whole(truth.W, truth.H), 1))
	const from = -4096 // no pixel lies before
	count := make([]int, 3*4096)
	all := 0
	for i, v := range truth.Pix {
		if v > 0.5 && drawn.Pix[i] > 0.5 {
			count[int(dx*float64(i%truth.W)+dy*float64(i/truth.W))-from]++
			all++
		}
	}
	beyond := 0
	for k := len(count) - 1; ; k-- {
		if beyond += count[k]; float64(beyond) >= share*float64(all) {
			return float64(k + from)
		}
	}
}

// chosenOn is up to which seed scenes served to choose what counts as a crossing. Those after it
// had no part in that.
const chosenOn = 5

// An outline that cuts an arm or a leg off is told of, at the place; one drawn loosely about
// all of the swimmer is not, nor one drawn on the swimmer's edge.
func TestOutlinesThatCutAreTold(t *testing.T) {
	seeds := 1
	if os.Getenv("HALOCLINE_ALL") != "" {
		seeds = 10
	}
	scores := make([]cutScores, seeds)
	eachSeed(t, seeds, func(t *testing.T, seed int) {
		_, take := stillOf(t, seed)
		of := &scores[seed-1]
		for _, truth := range []colour.Plane{take.Frame.Skin, take.Frame.Swimmer} {
			for _, s := range lazyOutlines(t, truth, uint64(seed)) {
				of.loose.add(scoreCut(t, take, truth, s))
				for _, d := range [][2]float64{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
					of.cut.add(scoreCut(t, take, truth, cutAt(s, d[0], d[1], shareBeyond(t, truth, s, d[0], d[1], 0.08))))
				}
			}
			for _, part := range partsOf(filledOf(truth), truth.W, truth.H) {
				line := borderOf(grownBy(part, truth.W, truth.H, 1), truth.W, truth.H)
				half := len(line) / 2
				points := append(simplified(line[:half+1], 1), simplified(append(line[half:], line[0]), 1)...)
				of.on.add(scoreCut(t, take, truth, mask.Shape{Points: points, Opacity: 1}))
			}
		}
	})
	var sets [2]cutScores // of scenes chosen on, and of the others
	for i, s := range scores {
		set := &sets[0]
		if i+1 > chosenOn {
			set = &sets[1]
		}
		set.cut.add(s.cut)
		set.loose.add(s.loose)
		set.on.add(s.on)
	}
	for i, s := range sets {
		t.Logf("%s, cut: %v", [2]string{"chosen on", "others"}[i], s.cut)
		t.Logf("loose: %v", s.loose)
		t.Logf("on the edge: %v", s.on)
		assert.Zero(t, s.loose.wrong)
		assert.LessOrEqual(t, 20*s.cut.wrong, s.cut.right, "one place in twenty")
		assert.LessOrEqual(t, s.on.wrong, max(1, s.on.clean/10), "where a shaded limb lies before its shadow no edge is to be seen")
		assert.GreaterOrEqual(t, 2*s.cut.told, s.cut.cut)
	}
}
