package export

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"

	"halocline/app/render"
	"halocline/app/study"
)

// DefaultMemory is what the frames being made may take for each processor: machines
// have that, and more.
const DefaultMemory = 1 << 30

// bytesPerPixel is what a frame that is being made takes for each of its pixels:
// decoded, smoothed, after base and converted, its masks and the edge
// treatment, with what is not collected yet. Two frames of 1080p with all of that
// were seen to take 129 at the most, over 2,000 frames; without smoothed noise and base 90.
const bytesPerPixel = 130

// bytesPerMatte is what each further matte of one frame takes, in bytes a pixel, whether it
// is exported or taken in: its pick, masks and stages of the edge, and copies of what its
// pick reads in cells that the matte before did not touch. Measured at 1080p with LCh picks,
// smoothed noise and base, the whole program: 123 for one matte, 306 for three, 315 for one
// that takes in two others; each of two frames at once 101, 280 and 236.
const bytesPerMatte = 95

// all makes every picture. A single frame is made by the job's own renderer, which
// may know parts of it, on all processors. Several are shared out to workers, each
// on one frame at a time on one thread: that wastes no time where a stage of one
// frame cannot be spread. Frames of a matte that settles are made one after the other, on all
// of the job's workers: so the mattes and the motion that they share are made once.
func (r *run) all(ctx context.Context) error {
	frames := len(r.tasks) / r.each
	if frames <= 1 { // none, where there are more shards than frames
		w := &worker{drawer: r.drawer(r.Renderer, 0)}
		from, err := r.take(ctx, w)
		if err != nil {
			return err
		}
		return r.work(ctx, w, from)
	}
	if r.settles() {
		w := &worker{drawer: r.drawer(r.Renderer.Alone(r.Workers, render.DefaultCache), r.Workers)}
		from, err := r.take(ctx, w)
		if err != nil {
			return err
		}
		return r.work(ctx, w, from)
	}
	first := r.alone()
	from, err := r.take(ctx, first)
	if err != nil {
		return err
	}
	size, err := first.drawer.renderer.Size(ctx, r.Study, r.tasks[0].frame)
	if err != nil {
		return err
	}
	n := min(r.most(size.X*size.Y), frames)
	if n < min(r.Workers, frames) && r.Notice != nil {
		r.Notice(fmt.Sprintf("%d frames of %d x %d pixels are made at once, not %d: more would take over %d MB of memory",
			n, size.X, size.Y, min(r.Workers, frames), r.memory()>>20))
	}
	return r.crew(ctx, first, from, n)
}

// made are the mattes that are made of one frame, each once: those of the pictures, and all
// that they take in.
func (j Job) made() (all []*study.Matte) {
	of := j.Mattes
	switch j.Kind {
	case Base:
		return nil
	case Trial:
		of = nil
		for i := range j.Study.Mattes {
			of = append(of, &j.Study.Mattes[i])
		}
	}
	for _, m := range of {
		for _, made := range append(j.Study.JoinedMattes(&m.Settings), m) {
			if !slices.Contains(all, made) {
				all = append(all, made)
			}
		}
	}
	return all
}

// settles reports whether any of the mattes that are made settles on any frame.
func (j Job) settles() bool {
	return slices.ContainsFunc(j.made(), func(m *study.Matte) bool { return m.Edge.Settles() })
}

// perPixel is what a frame of the job takes, while it is made, for each of its pixels.
func (j Job) perPixel() int { return bytesPerPixel + bytesPerMatte*max(0, len(j.made())-1) }

// most is how many workers the job may have on frames of so many pixels.
func (j Job) most(pixels int) int {
	n := j.Workers
	if n <= 0 {
		n = runtime.GOMAXPROCS(0)
	}
	return max(1, min(n, int(j.memory()/int64(max(1, pixels*j.perPixel())))))
}

// memory is what the frames being made may take.
func (j Job) memory() int64 {
	if j.Memory > 0 {
		return j.Memory
	}
	return DefaultMemory * int64(runtime.GOMAXPROCS(0))
}

// alone returns a worker with a renderer of its own.
func (r *run) alone() *worker {
	return &worker{drawer: r.drawer(r.Renderer.Alone(1, render.DefaultCache), 1)}
}

func (r *run) drawer(with *render.Renderer, workers int) *drawer {
	return &drawer{renderer: with, study: r.Study, depth: r.Depth, encoder: Encoder{Workers: workers}}
}

// crew has n workers make the pictures: first, which has taken its first frame, and
// others. The first error ends them all.
func (r *run) crew(ctx context.Context, first *worker, from, n int) error {
	ctx, stop := context.WithCancelCause(ctx)
	defer stop(nil)
	var group sync.WaitGroup
	start := func(w *worker, from int, err error) {
		if err == nil {
			err = r.work(ctx, w, from)
		}
		if err != nil {
			stop(err)
		}
	}
	group.Go(func() { start(first, from, nil) })
	for range n - 1 {
		group.Go(func() {
			w := r.alone()
			from, err := r.take(ctx, w)
			start(w, from, err)
		})
	}
	group.Wait()
	return context.Cause(ctx)
}

// work makes frames, from one that the worker has taken, until there are no more.
func (r *run) work(ctx context.Context, w *worker, from int) error {
	for from < len(r.tasks) {
		for i := from; i < from+r.each; i++ {
			if err := r.do(ctx, w, i); err != nil {
				return err
			}
		}
		if w.drawer.renderer != r.Renderer {
			w.drawer.renderer.Forget()
		}
		var err error
		if from, err = r.take(ctx, w); err != nil {
			return err
		}
	}
	return nil
}

// take returns the first task of the next frame, all tasks' number where there is
// none. Where frames are decoded in order, that is done here.
func (r *run) take(ctx context.Context, w *worker) (from int, err error) {
	r.order.Lock()
	defer r.order.Unlock()
	if r.next == len(r.tasks) {
		return r.next, nil
	}
	from = r.next
	r.next += r.each
	if !r.inOrder || r.settles() { // what settles reads frames ahead of its own
		return from, ctx.Err()
	}
	for i := from; i < r.next; i++ {
		_, left, err := r.asItIs(ctx, w, i)
		if err != nil {
			return from, err
		}
		if !left {
			_, err := w.drawer.renderer.Source(ctx, r.Study, r.tasks[from].frame)
			return from, err
		}
	}
	return from, ctx.Err()
}
