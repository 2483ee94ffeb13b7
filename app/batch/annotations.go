package batch

import (
	"cmp"
	"context"
	"runtime"
	"sync"
	"sync/atomic"

	"halocline/app/sample"
	"halocline/app/study"
	"halocline/mask"
)

// An annotation is what somebody marks by hand on one frame of the scene. On most
// frames it is the body alone.
type annotation struct {
	body   body
	seabed []mask.Point  // the line above the open sand, and what lies below it
	dabs   []sample.Dabs // for each of sampleClasses; nil where nothing is dabbed
	slate  sample.Spot
	water  sample.Spot
}

// annotationOf annotates a frame; marked says whether dabs are made on it. A class too
// small for a dab is an error, and goes without.
func annotationOf(f *sample.Frame, seed int, marked bool) (s annotation, err error) {
	s = annotation{body: bodyOf(f.Skin), slate: f.Slate, water: f.OpenWater}
	if !marked {
		return s, nil
	}
	s.seabed = lineAbove(openTop(f.Sand), f.Sand.H)
	s.dabs = make([]sample.Dabs, len(sampleClasses))
	for i, c := range sampleClasses {
		dabs, failed := f.Dabs(c.class, seed)
		dabs.Drop = dabs.Drop[:min(dropDabs, len(dabs.Drop))]
		s.dabs[i] = dabs
		err = cmp.Or(err, failed)
	}
	return s, err
}

// anotherDraw is how far the draw of the skin's second three dabs lies from the
// first's.
const anotherDraw = 5000

// dabSkin dabs the skin again as one does who has drawn the masks first: six times
// on it, and on the rest, up to three times each, within the masks alone, for what
// they keep out needs no range.
func (s *annotation) dabSkin(f *sample.Frame, seed int) error {
	in := s.body.within(f.Skin.W, f.Skin.H)
	dabs, err := f.DabsWithin(sample.Skin, seed, &in)
	if err != nil {
		return err
	}
	more, err := f.DabsWithin(sample.Skin, seed+anotherDraw, &in)
	dabs.Keep = append(dabs.Keep, more.Keep...)
	s.dabs[0] = dabs
	return err
}

// marked returns which of so many frames are marked: first, middle, last.
func marked(i, count int) bool { return i == 0 || i == (count-1)/2 || i == count-1 }

// record draws the rest of the frames, of which the first is there already, as
// many at once as there are processors, and writes them with their truth.
func (set *sampleSet) record(ctx context.Context, frames []int) error {
	for _, n := range frames[1:] {
		set.written = append(set.written, frameName(n))
		for _, c := range sampleClasses {
			set.written = append(set.written, truthName(c.name, n))
		}
	}
	if len(frames) > 1 {
		if err := set.annotations[0].dabSkin(set.frame, set.seed); err != nil {
			return err
		}
	}
	set.frames = frames
	set.annotations = append(set.annotations[:1], make([]annotation, len(frames)-1)...)
	return atOnce(ctx, 1, len(frames)-1, func(ctx context.Context, i int) error {
		n := frames[i]
		frame, err := set.clip.Frame(ctx, n, 1)
		if err != nil {
			return err
		}
		if err := set.put(frameName(n), encodeFrame(frame)); err != nil {
			return err
		}
		for c, truth := range truthsOf(frame) {
			if err := set.put(truthName(sampleClasses[c].name, n), encodeTruth(truth)); err != nil {
				return err
			}
		}
		// Another draw on every frame: nobody dabs in the same places twice.
		// Where a class has no room for them there are those of the first frame.
		s, _ := annotationOf(frame, set.seed+n-1, marked(i, len(frames)))
		if s.dabs != nil {
			_ = s.dabSkin(frame, set.seed+n-1)
		}
		set.annotations[i] = s
		return nil
	})
}

// atOnce does work for every number from first to last, on as many goroutines as
// there are processors, and returns the first error, which ends the rest.
func atOnce(ctx context.Context, first, last int, work func(ctx context.Context, n int) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var next atomic.Int64
	next.Store(int64(first))
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), max(last-first+1, 0)) {
		all.Go(func() {
			for n := int(next.Add(1)) - 1; n <= last && ctx.Err() == nil; n = int(next.Add(1)) - 1 {
				if err := work(ctx, n); err != nil {
					cancel(err)
				}
			}
		})
	}
	all.Wait()
	return context.Cause(ctx)
}

// addAnnotations gives a matte the dabs of every marked frame, and its masks.
func (set *sampleSet) addAnnotations(i int) {
	m := set.study.AddMatte(sampleClasses[i].name, defaultModel)
	for j, s := range set.annotations {
		if s.dabs != nil {
			set.addDabs(m, set.frames[j], s.dabs[i])
		}
	}
	switch sampleClasses[i].class {
	case sample.Skin:
		bodies := make([]body, len(set.annotations))
		for j, s := range set.annotations {
			bodies[j] = s.body
		}
		addBody(set.study, m, bodies, set.frames)
	case sample.Sand:
		lines := map[int][]mask.Point{}
		for j, s := range set.annotations {
			if s.dabs != nil {
				lines[set.frames[j]] = s.seabed
			}
		}
		addSeabed(set.study, m, lines)
	}
}

// addDabs gives a matte the dabs of one frame.
func (set *sampleSet) addDabs(m *study.Matte, frame int, dabs sample.Dabs) {
	for _, group := range []struct {
		kind  study.Kind
		spots []sample.Disc
	}{{study.Keep, dabs.Keep}, {study.Drop, dabs.Drop}} {
		for _, d := range group.spots {
			set.study.AddDab(m, study.Dab{Frame: frame, X: d.X, Y: d.Y, Radius: d.Radius, Kind: group.kind})
		}
	}
}
