package desk

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/work"
	"halocline/mask"
	"halocline/selection"
)

// TestMain keeps what the tests leave in the program's own folder apart from the
// user's.
func TestMain(m *testing.M) {
	folder, err := os.MkdirTemp("", "halocline-desk-")
	if err != nil {
		panic(err)
	}
	os.Setenv("XDG_CACHE_HOME", folder)
	code := m.Run()
	os.RemoveAll(folder)
	os.Exit(code)
}

// The scene: seagrass on the left, sand, a grey card at the top right, and a piece
// of a transect's tape that lies two pixels farther right on each frame.
const (
	wide, high = 96, 64
	tapeTop    = 20
	tapeBottom = 44
	tapeWidth  = 16
	cardLeft   = 82
	cardBottom = 14
)

// tapeLeft is where the tape begins on a frame.
func tapeLeft(n int) int { return 38 + 2*n }

// Dabs in the middle of what the scene shows, on frame 1.
var (
	onTape  = study.Dab{Frame: 1, X: 48, Y: 32, Radius: 4, Kind: study.Keep}
	onTape2 = study.Dab{Frame: 1, X: 48, Y: 26, Radius: 3, Kind: study.Keep}
	onGrass = study.Dab{Frame: 1, X: 14, Y: 40, Radius: 5, Kind: study.Drop}
	onSand  = study.Dab{Frame: 1, X: 74, Y: 52, Radius: 5, Kind: study.Drop}
)

// sceneAt is the scene's colour at a pixel of a frame, each thing with a grain.
func sceneAt(x, y, n int) color.NRGBA {
	grain := (x*7+y*13+x*y)%11 - 5
	c := [3]int{190, 168, 128}
	switch {
	case x >= cardLeft && y < cardBottom:
		return color.NRGBA{120, 128, 132, 255}
	case x >= tapeLeft(n) && x < tapeLeft(n)+tapeWidth && y >= tapeTop && y < tapeBottom:
		c = [3]int{222, 186, 40}
	case x < 30:
		c = [3]int{50, 112, 60}
	}
	return color.NRGBA{uint8(c[0] + grain), uint8(c[1] + grain), uint8(c[2] + grain/2), 255}
}

// writeScene writes frames of the scene, numbered from 1; those that skip names are
// left out. It returns their folder.
func writeScene(t testing.TB, frames int, skip ...int) string {
	t.Helper()
	folder := t.TempDir()
	left := map[int]bool{}
	for _, n := range skip {
		left[n] = true
	}
	for n := 1; n <= frames; n++ {
		if left[n] {
			continue
		}
		m := image.NewNRGBA(image.Rect(0, 0, wide, high))
		for y := range high {
			for x := range wide {
				m.SetNRGBA(x, y, sceneAt(x, y, n))
			}
		}
		f, err := os.Create(filepath.Join(folder, fmt.Sprintf("tape.%04d.png", n)))
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, m))
		require.NoError(t, f.Close())
	}
	return folder
}

// A rig is a desk without a window: what the background posts is run by the test's
// own goroutine, and all that the desk tells is written down.
type rig struct {
	*Desk
	t testing.TB

	changes, sought int
	did             []string
	learned         []News
	problems        []Problem
	notes           []string

	mu      sync.Mutex
	waiting []func()
	wake    chan struct{}
}

// newIdleRig is a desk with nothing open.
func newIdleRig(t testing.TB) *rig {
	t.Helper()
	r := &rig{t: t, wake: make(chan struct{}, 1)}
	r.Desk = NewDesk(Listener{
		Changed: func() { r.changes++ },
		Did:     func(label string) { r.did = append(r.did, label) },
		Sought:  func() { r.sought++ },
		Learned: func(n News) { r.learned = append(r.learned, n) },
		Report:  func(p Problem) { r.problems = append(r.problems, p) },
		Note:    func(text string) { r.notes = append(r.notes, text) },
		Post:    r.post,
	})
	t.Cleanup(func() {
		r.Leave()
		r.Stop()
	})
	return r
}

// newRig is a desk on the scene, with a matte that picks everything. One frame is a
// still.
func newRig(t testing.TB, frames int, skip ...int) *rig {
	t.Helper()
	r := newIdleRig(t)
	folder := writeScene(t, frames, skip...)
	if frames == 1 {
		folder = filepath.Join(folder, "tape.0001.png")
	}
	r.begin(folder)
	return r
}

// begin opens footage as a new study with a matte.
func (r *rig) begin(path string) {
	r.t.Helper()
	w, err := work.Open(context.Background(), path)
	require.NoError(r.t, err)
	w.Study.AddMatte("tape", selection.LCh)
	r.Begin(w, study.NewSession(w.Study, ""))
	r.changes = 0
}

func (r *rig) post(do func()) {
	r.mu.Lock()
	r.waiting = append(r.waiting, do)
	r.mu.Unlock()
	select {
	case r.wake <- struct{}{}:
	default:
	}
}

// play runs what was posted.
func (r *rig) play() {
	for {
		r.mu.Lock()
		all := r.waiting
		r.waiting = nil
		r.mu.Unlock()
		if len(all) == 0 {
			return
		}
		for _, do := range all {
			do()
		}
	}
}

// await runs what is posted until something is so.
func (r *rig) await(what string, so func() bool) {
	r.t.Helper()
	end := time.After(20 * time.Second)
	for {
		r.play()
		if so() {
			return
		}
		select {
		case <-r.wake:
		case <-end:
			require.FailNow(r.t, what+": not within 20 s")
		}
	}
}

// rest waits until the findings are of what is chosen.
func (r *rig) rest() {
	r.t.Helper()
	r.await("findings", r.Fresh)
}

// passes lets time go by, and runs what is posted meanwhile.
func (r *rig) passes(d time.Duration) {
	for end := time.Now().Add(d); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		r.play()
	}
}

// labels are the edits that can be undone, the last one first.
func (r *rig) labels() []string { return r.Session.UndoLabels() }

// pick is the chosen matte's pick on the frame shown.
func (r *rig) pick() selection.Pick { return r.Matte().Pick.At(r.Frame) }

// dab puts dabs into the chosen matte, one after the other.
func (r *rig) dab(dabs ...study.Dab) {
	r.t.Helper()
	for _, d := range dabs {
		n := len(r.Matte().Dabs)
		r.AddDab(d)
		r.await("a dab", func() bool { return len(r.Matte().Dabs) == n+1 })
	}
}

// set is an edit of the chosen matte.
func (r *rig) set(change func(m *study.Matte)) {
	r.t.Helper()
	require.True(r.t, r.EditMatte("Set", func(m *study.Matte) error {
		change(m)
		return nil
	}))
}

// box is a rectangle's outline.
func box(x0, y0, x1, y1 float64) []mask.Point {
	return []mask.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// keys puts the chosen mask's keys on frames.
func (r *rig) keys(frames ...int) {
	r.t.Helper()
	r.EditMask("Keys", func(m *study.Mask) error {
		k := m.Keys[0]
		m.Keys = nil
		for _, f := range frames {
			k.Frame = f
			m.SetKey(k)
		}
		return nil
	})
	require.Equal(r.t, frames, r.keyFrames())
}

func (r *rig) keyFrames() []int { return FramesOf(&r.Mask().Track) }

// lastProblem is what was reported last, and forgets it.
func (r *rig) lastProblem() Problem {
	r.t.Helper()
	require.NotEmpty(r.t, r.problems, "nothing was reported")
	p := r.problems[len(r.problems)-1]
	r.problems = nil
	return p
}

// rangeOf is a range without fades.
func rangeOf(from, to float64) selection.Range { return selection.Range{From: from, To: to} }
