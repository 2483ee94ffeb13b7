package render

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A slide is a sequence of a spotted square that goes to the right, 3 pixels a frame, and a
// study of it whose one mask follows the square from the first frame to the last.
type slide struct {
	folder string
	study  *study.Study
	frames int
}

func newSlide(t *testing.T, frames int, search float64) *slide {
	d := &slide{folder: t.TempDir(), frames: frames}
	for n := 1; n <= frames; n++ {
		d.paint(t, n, 0)
	}
	d.study = study.New(study.Clip{Path: d.path(1), First: 1, Count: frames, Rate: [2]int{25, 1}})
	m := d.study.AddMatte("square", selection.LCh)
	for c := range m.Pick.Limits {
		m.Pick.Limits[c].Off = true
	}
	k := d.study.AddMask(m, "square", study.Keep, study.MaskKey{Frame: 1, Points: d.square(1), Opacity: 1, Way: mask.Follow})
	k.SetKey(study.MaskKey{Frame: frames, Points: d.square(frames), Opacity: 1})
	k.Search = search
	return d
}

func (d *slide) path(n int) string { return filepath.Join(d.folder, fmt.Sprintf("d.%03d.png", n)) }

// square is its outline on a frame.
func (d *slide) square(n int) []mask.Point {
	x := 20 + 3*float64(n)
	return []mask.Point{{X: x, Y: 30}, {X: x + 40, Y: 30}, {X: x + 40, Y: 70}, {X: x, Y: 70}}
}

// paint writes a frame; darker makes its content another.
func (d *slide) paint(t *testing.T, n int, darker uint8) {
	t.Helper()
	rng := rand.New(rand.NewPCG(1, 2))
	m := image.NewNRGBA(image.Rect(0, 0, 160, 100))
	var sand, spots [160 * 100]uint8
	for i := range sand {
		sand[i], spots[i] = uint8(rng.IntN(30)), uint8(rng.IntN(90))
	}
	left := 20 + 3*n
	for y := range 100 {
		for x := range 160 {
			at := y/3*160 + x/3
			c := color.NRGBA{170 + sand[at], 160 + sand[at], 120 + sand[at], 255}
			if x >= left && x < left+40 && y >= 30 && y < 70 {
				at = y/3*160 + (x-left)/3
				c = color.NRGBA{90 + spots[at] - darker, 40 + spots[at] - darker, 30 + spots[at]/2, 255}
			}
			m.SetNRGBA(x, y, c)
		}
	}
	f, err := os.CreateTemp(d.folder, "new")
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, m))
	require.NoError(t, f.Close())
	require.NoError(t, os.Rename(f.Name(), d.path(n)))
}

// renderer opens the footage anew.
func (d *slide) renderer(t *testing.T, s OutlineStore) *Renderer {
	t.Helper()
	c, err := clip.OpenSequence(d.folder)
	require.NoError(t, err)
	r := New(c, 2, DefaultCache)
	r.KeepOutlines(s)
	return r
}

func (d *slide) request(frame int) Request {
	return Request{Study: d.study, Settings: &d.study.Mattes[0].Settings, Frame: frame}
}

// masks renders the mask of some frames.
func (d *slide) masks(t *testing.T, r *Renderer, frames ...int) (all []colour.Plane) {
	t.Helper()
	for _, n := range frames {
		m, err := r.Mask(t.Context(), d.request(n))
		require.NoError(t, err)
		all = append(all, m)
	}
	return all
}

// A shelf is an OutlineStore in memory.
type shelf struct {
	mu     sync.Mutex
	files  map[string][]byte
	onSave func(n int) // after the n-th
	saved  int
}

func (s *shelf) Load(digest string) ([]byte, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	data, ok := s.files[digest]
	return data, ok
}

func (s *shelf) Has(digest string) bool {
	_, ok := s.Load(digest)
	return ok
}

func (s *shelf) Save(digest string, data []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.files == nil {
		s.files = map[string][]byte{}
	}
	s.files[digest] = data
	if s.saved++; s.onSave != nil {
		s.onSave(s.saved)
	}
}

func (s *shelf) Drop(digest string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.files, digest)
}

func requireSameAll(t *testing.T, want, got []colour.Plane) {
	t.Helper()
	require.Len(t, got, len(want))
	for i := range want {
		requireSame(t, want[i], got[i], i)
	}
}

// What lies in the store gives the same bits as what is carried, and no motion is looked for
// again.
func TestKeptOutlinesGiveTheSameBits(t *testing.T) {
	for _, search := range []float64{0, 8} {
		d := newSlide(t, 7, search)
		want := d.masks(t, d.renderer(t, nil), 2, 3, 4, 5, 6)
		s := new(shelf)
		first := d.renderer(t, s)
		known, err := first.KnowsFollowed(t.Context(), d.study, d.request(4).Settings, 4)
		require.NoError(t, err)
		require.False(t, known)
		requireSameAll(t, want, d.masks(t, first, 2, 3, 4, 5, 6))
		require.Equal(t, 10, first.Runs()[FindFlow], "one each way for each frame")
		require.Len(t, s.files, 15, "two outlines and one figure for each frame, and nothing half done")

		second := d.renderer(t, s)
		d.masks(t, second, 5)
		requireSameAll(t, want, d.masks(t, second, 2, 3, 4, 5, 6))
		require.Zero(t, second.Runs()[FindFlow])

		third := d.renderer(t, s)
		for n := 1; n <= 7; n++ {
			a, ok, err := first.Confidence(t.Context(), d.study, d.request(n).Settings, n)
			require.NoError(t, err)
			require.Equal(t, n > 1 && n < 7, ok, "frame %d", n)
			if ok {
				require.Greater(t, a.Least, 0.6, "frame %d", n)
			}
			b, _, err := third.Confidence(t.Context(), d.study, d.request(n).Settings, n)
			require.NoError(t, err)
			require.Equal(t, a, b, "frame %d", n)
			known, err := third.KnowsFollowed(t.Context(), d.study, d.request(n).Settings, n)
			require.NoError(t, err)
			require.True(t, known)
		}
		require.Empty(t, third.Runs(), "all of it was known")
	}
}

// The store never gives an outline of other footage, keys or base than what is there.
func TestKeptOutlinesAreNeverStale(t *testing.T) {
	if testing.Short() { // as with the race detector
		t.Skip("TestKeptOutlinesGiveTheSameBits runs the same goroutines")
	}
	d := newSlide(t, 6, 8)
	s := new(shelf)
	d.masks(t, d.renderer(t, s), 2, 3, 4, 5)
	for name, change := range map[string]func(){
		"a frame between":  func() { d.paint(t, 4, 30) },
		"the frame of key": func() { d.paint(t, 1, 30) },
		"a key":            func() { d.study.Mattes[0].Masks[0].Keys[0].Points[2].Y -= 7 },
		"tight":            func() { d.study.Mattes[0].Masks[0].Keys[1].Tight = true },
		"how deep":         func() { d.study.Mattes[0].Masks[0].Search = 11 },
		"base":             func() { d.study.Base.Exposure.Fix(0.7) },
		"noise":            func() { d.study.Clip.Noise = [3]float64{0.02, 0.02, 0.02} },
		"a dab": func() {
			d.study.AddMaskDab(&d.study.Mattes[0], study.Dab{Frame: 1, X: 40, Y: 50, Radius: 3})
		},
	} {
		t.Run(name, func(t *testing.T) {
			change()
			requireSameAll(t, d.masks(t, d.renderer(t, nil), 2, 3, 4, 5), d.masks(t, d.renderer(t, s), 2, 3, 4, 5))
		})
	}
}

// Renderers of one clip carry a stretch once between them, also while they forget what they
// keep of frames.
func TestRenderersShareWhatIsCarried(t *testing.T) {
	d := newSlide(t, 8, 0)
	want := d.masks(t, d.renderer(t, nil), 2, 3, 4, 5, 6, 7)
	root := d.renderer(t, nil)
	got := make([]colour.Plane, len(want))
	var fellows []*Renderer
	var group sync.WaitGroup
	for i := range 2 {
		r := root.Alone(1, DefaultCache)
		fellows = append(fellows, r)
		group.Go(func() {
			for n := 2 + i; n <= 7; n += 2 {
				m, err := r.Mask(context.Background(), d.request(n))
				if err == nil {
					got[n-2] = m
				}
				r.Forget()
			}
		})
	}
	group.Wait()
	requireSameAll(t, want, got)
	flows := 0
	for _, r := range fellows {
		flows += r.Runs()[FindFlow]
	}
	require.LessOrEqual(t, flows, 12)
	require.GreaterOrEqual(t, flows, 10)
}

// Who is stopped on the way goes on from the frame that was reached, in both directions.
func TestCarryingGoesOnWhereItStopped(t *testing.T) {
	d := newSlide(t, 9, 8)
	want := d.masks(t, d.renderer(t, nil), 5, 6)
	for stop := 1; stop < 26; stop += 3 {
		ctx, cancel := context.WithCancel(t.Context())
		s := &shelf{onSave: func(n int) {
			if n == stop {
				cancel()
			}
		}}
		first := d.renderer(t, s)
		for _, n := range []int{5, 6} {
			if _, err := first.Mask(ctx, d.request(n)); err != nil {
				require.ErrorIs(t, err, context.Canceled)
			}
		}
		cancel()
		s.onSave = nil
		second := d.renderer(t, s)
		requireSameAll(t, want, d.masks(t, second, 5, 6))
		flows := func(r *Renderer) int {
			r.mu.Lock()
			defer r.mu.Unlock()
			return r.runs[FindFlow]
		}
		// 4 + 4 steps to frame 5, one more to 6 and none back, and what was stopped before it was kept.
		require.LessOrEqual(t, flows(first)+flows(second), 9+4, "stopped after %d", stop)
	}
}

// A file that changes while a renderer works leaves nothing in the store that was made of it.
func TestNothingIsKeptOfFilesThatChange(t *testing.T) {
	d := newSlide(t, 6, 0)
	s := new(shelf)
	r := d.renderer(t, s)
	_, err := r.Source(t.Context(), d.study, 4) // as it was
	require.NoError(t, err)
	d.paint(t, 4, 30)
	d.masks(t, r, 3, 4, 5)
	kept := len(s.files)
	requireSameAll(t, d.masks(t, d.renderer(t, nil), 2, 3, 4, 5), d.masks(t, d.renderer(t, s), 2, 3, 4, 5))
	require.Greater(t, len(s.files), kept, "what is still missing is kept by who saw the new file alone")
}
