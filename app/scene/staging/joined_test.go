package staging

import (
	"context"
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/colour"
)

// A film is frames of the scene in memory, by their numbers.
type film map[int]*scene.Frame

func (f film) Frame(_ context.Context, n int) (*colour.Image, error) {
	if f[n] == nil {
		return nil, fmt.Errorf("staging: frame %d is not recorded", n)
	}
	return f[n].Image, nil
}

// The names of the mattes of a swimmer in two parts, and in one.
const (
	bareName     = "bare skin" // the legs, mostly shaded, arms and head
	clothesName  = "clothes"   // the back, mostly lit
	allAtOnce    = "all at once"
	leastGain    = 0.1 // of IoU, that both joined are to have over the better of the two
	swimmerSpeck = 200 // px2
)

// without returns what a truth covers beyond a part of it.
func without(whole, part colour.Plane) colour.Plane {
	out := colour.NewPlane(whole.W, whole.H)
	for i, v := range whole.Pix {
		out.Pix[i] = max(0, v-part.Pix[i])
	}
	return out
}

// dabsOn returns a frame's dabs to keep where a truth is, and to drop on sand, water and
// plants, both within the mask about the swimmer.
func dabsOn(f *scene.Frame, truth, within colour.Plane, seed int) (scene.Dabs, error) {
	part, rest := *f, *f
	part.Skin, rest.Skin = truth, f.Swimmer
	keep, err := part.Dabs(scene.Skin, seed)
	if err != nil {
		return scene.Dabs{}, err
	}
	drop, err := rest.DabsWithin(scene.Skin, seed, &within)
	return scene.Dabs{Keep: keep.Keep, Drop: drop.Drop}, err
}

// swimmerIn makes a study of a swimmer as one does who picks the parts by themselves: dabs on
// the first, the middle and the last frame, base from slate and water, and about all one
// mask of up to six keys, at least 8 px off.
func swimmerIn(t *testing.T, seed int, frames []int) (*Take, film) {
	t.Helper()
	reel := reelOf(t, seed)
	shots := make([]*scene.Frame, len(frames))
	require.NoError(t, atOnce(t.Context(), 0, len(frames)-1, func(ctx context.Context, i int) (err error) {
		shots[i], err = reel.Frame(ctx, frames[i], 1)
		return err
	}))
	f := film{}
	for i, n := range frames {
		f[n] = shots[i]
	}
	doc := study.New(study.Clip{Path: "swimmer", First: 1, Count: scene.Frames, Noise: colour.Noise(shots[0].Image)})
	take := &Take{Frame: shots[0], Frames: frames, Study: doc, Renderer: render.New(f, 0, render.DefaultCache)}
	for _, name := range []string{bareName, clothesName, allAtOnce} {
		doc.AddMatte(name, defaultModel).Edge.Despeckle.Fix(swimmerSpeck)
	}
	hulls := make([]hull, len(frames))
	for i, shot := range shots {
		hulls[i] = hullOf(shot.Swimmer, 0, shot.Swimmer.W, skinVertices)
		a := annotation{slate: shot.Slate, water: shot.OpenWater}
		if marked(i, len(frames)) {
			within := body{[2]hull{hulls[i]}}.within(shot.Swimmer.W, shot.Swimmer.H)
			bare, err := dabsOn(shot, shot.Skin, within, seed+frames[i])
			require.NoError(t, err)
			clothes, err := dabsOn(shot, without(shot.Swimmer, shot.Skin), within, seed+frames[i])
			require.NoError(t, err)
			both := scene.Dabs{Keep: append(bare.Keep[:3:3], clothes.Keep...), Drop: bare.Drop}
			a.dabs = []scene.Dabs{bare, clothes, both}
			for k, dabs := range a.dabs {
				take.addDabs(&doc.Mattes[k], frames[i], dabs)
			}
		}
		take.annotations = append(take.annotations, a)
	}
	for i := range doc.Mattes {
		addKeyed(doc, &doc.Mattes[i], wholeName, hulls, frames)
	}
	require.NoError(t, take.SetBase(t.Context()))
	require.NoError(t, take.Fit(t.Context()))
	return take, f
}

// swimmerIoU is the mean IoU of a matte over the frames, against the true swimmer.
func swimmerIoU(t *testing.T, take *Take, f film, of func(q render.Request) (colour.Plane, error), set *study.Settings) (mean float64) {
	t.Helper()
	for _, n := range take.Frames {
		p, err := of(render.Request{Study: take.Study, Settings: set, Frame: n})
		require.NoError(t, err)
		iou, err := check.IoU(t.Context(), p, f[n].Swimmer)
		require.NoError(t, err)
		mean += *iou / float64(len(take.Frames))
	}
	return mean
}

// swimmerCases are a few frames of seed 1; where HALOCLINE_ALL is set every twelfth of
// seeds 1 to 5.
func swimmerCases() (cases []clipCase) {
	if os.Getenv("HALOCLINE_ALL") == "" {
		return []clipCase{{1, every(36)}}
	}
	for seed := 1; seed <= 5; seed++ {
		cases = append(cases, clipCase{seed, every(12)})
	}
	return cases
}

// A swimmer of bare skin and clothes is no single range of colours: two picks joined have
// far more of them than either. The table is of the mean IoU with the true swimmer.
func TestASwimmerOfTwoPicks(t *testing.T) {
	if testing.Short() {
		t.Skip("frames at full size")
	}
	t.Log("seed, frames: bare skin; clothes; both, add; both, touching; one pick of all dabs; mask alone")
	for _, c := range swimmerCases() {
		take, f := swimmerIn(t, c.seed, c.frames)
		matte := func(q render.Request) (colour.Plane, error) { return take.Renderer.Matte(t.Context(), q) }
		masks := func(q render.Request) (colour.Plane, error) { return take.Renderer.Mask(t.Context(), q) }
		bare, clothes, once := &take.Study.Mattes[0], &take.Study.Mattes[1], &take.Study.Mattes[2]
		iou := func(m *study.Matte) float64 { return swimmerIoU(t, take, f, matte, &m.Settings) }
		skin, cloth := iou(bare), iou(clothes)
		var joined []float64
		for _, how := range []study.How{study.Add, study.Touching} {
			clothes.TakeIn(bare.ID, how)
			require.NoError(t, take.Study.Validate())
			joined = append(joined, iou(clothes))
		}
		t.Logf("%d, %d: %.3f; %.3f; %.3f; %.3f; %.3f; %.3f", c.seed, len(c.frames), skin, cloth, joined[0], joined[1],
			iou(once), swimmerIoU(t, take, f, masks, &bare.Settings))
		for _, both := range joined {
			assert.Greater(t, both, max(skin, cloth)+leastGain, "seed %d", c.seed)
		}
	}
}
