package proofs

import (
	"context"
	"image"
	"image/draw"
	"sync"
	"time"

	"fyne.io/fyne/v2"

	"halocline/app/desk/watch"
	"halocline/app/proof"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/view"
)

// A job asks for the pictures of a sheet's proofs and then for their figures.
type job struct {
	sheet    *proof.Sheet
	pictures *render.Renderer
	figures  *render.Renderer
	view     view.View
	vp       view.Viewport // of one frame's picture
	tiles    image.Point   // pictures of frames across and down in a cell
	order    []int         // in which the items are wanted
	turn     int           // which of the sheet's states it is about
}

// A worker makes a sheet's pictures and figures in the background, one at a
// time: first a quick picture of each, then fine ones, then figures. Whatever is
// asked for anew puts off what is left.
type worker struct {
	jobs  *watch.Latest[job]
	cache proof.Cache
	take  func([]news) // called on Fyne's goroutine

	composer view.Composer // of the worker alone

	mu     sync.Mutex
	news   []news // that take has not seen
	queued bool
}

// news is something that was worked out.
type news struct {
	turn    int
	item    int
	picture *image.RGBA    // nil: none
	figures *proof.Figures // nil: none
	done    bool           // nothing is left to do
	err     error
}

// fineDelay is how long the hand must rest before quick pictures become fine.
const fineDelay = 120 * time.Millisecond

func newWorker(take func([]news)) *worker {
	k := &worker{take: take}
	k.jobs = watch.NewLatest(k.work)
	return k
}

// tell hands news on, with at most one call of take waiting.
func (k *worker) tell(n news) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.news = append(k.news, n)
	if k.queued {
		return
	}
	k.queued = true
	fyne.Do(func() {
		k.mu.Lock()
		all := k.news
		k.news, k.queued = nil, false
		k.mu.Unlock()
		k.take(all)
	})
}

func (k *worker) work(ctx context.Context, j job) {
	factor := view.FullFactor(j.vp.Zoom)
	if !k.show(ctx, j, factor, factor > 1) {
		return
	}
	if factor > 1 && (!watch.Rest(ctx, fineDelay) || !k.show(ctx, j, factor, false)) {
		return
	}
	err := j.sheet.Judge(ctx, j.figures, &k.cache, func(i int, f proof.Figures) {
		k.tell(news{turn: j.turn, item: i, figures: &f})
	})
	if err == nil {
		k.tell(news{turn: j.turn, done: true})
	}
}

// steadily is how long quick pictures are made though a newer request waits: else a
// steady drag would show nothing, or move one picture alone.
const steadily = 150 * time.Millisecond

// show makes the picture of each item, and reports whether it came to the end.
func (k *worker) show(ctx context.Context, j job, factor int, quick bool) bool {
	begun := time.Now()
	for _, i := range j.order {
		made := ctx
		if time.Since(begun) < steadily {
			made = context.Background()
		}
		m, err := k.picture(made, j, i, factor, quick)
		if made.Err() != nil {
			return false
		}
		k.tell(news{turn: j.turn, item: i, picture: m, err: err})
	}
	return ctx.Err() == nil
}

// picture makes the picture of an item: of all its frames, side by side.
func (k *worker) picture(ctx context.Context, j job, item, factor int, quick bool) (*image.RGBA, error) {
	w, h := j.vp.VW, j.vp.VH
	out := image.NewRGBA(image.Rect(0, 0, w*j.tiles.X, h*j.tiles.Y))
	one := out
	for t, frame := range j.sheet.Frames {
		if j.tiles != image.Pt(1, 1) {
			one = image.NewRGBA(image.Rect(0, 0, w, h))
		}
		l, err := j.layers(ctx, item, frame, factor, quick)
		if err != nil {
			return nil, err
		}
		if err := k.composer.Compose(ctx, one, j.vp, j.view, j.view, -1, l, 0); err != nil {
			return nil, err
		}
		if one != out {
			at := image.Pt(t%j.tiles.X*w, t/j.tiles.X*h)
			draw.Draw(out, image.Rectangle{Min: at, Max: at.Add(image.Pt(w, h))}, one, image.Point{}, draw.Src)
		}
	}
	for t := 1; t < j.tiles.X; t++ {
		draw.Draw(out, image.Rect(t*w-1, 0, t*w+1, out.Rect.Dy()), image.NewUniform(look.Card), image.Point{}, draw.Src)
	}
	for t := 1; t < j.tiles.Y; t++ {
		draw.Draw(out, image.Rect(0, t*h-1, out.Rect.Dx(), t*h+1), image.NewUniform(look.Card), image.Point{}, draw.Src)
	}
	return out, nil
}

// layers renders what a view is made of.
func (j job) layers(ctx context.Context, item, frame, factor int, quick bool) (view.Layers, error) {
	return view.RenderAlone(ctx, j.pictures, render.Request{
		Study: j.sheet.Study, Settings: j.sheet.Items[item].Settings, Frame: frame, Region: j.vp.Visible(), Factor: factor,
		Draft: quick, Hasty: quick, NoSearch: quick, NoSettle: quick,
	}, j.view)
}

// figureRenderer is what figures are worked out through: that of the window where it
// keeps all they need, which is one frame; else one of their own.
func figureRenderer(r *render.Renderer, s *study.Study, size image.Point, several bool) *render.Renderer {
	if !several {
		return r
	}
	const bytesPerPixel = 60 // of what leads to a matte
	return r.Alone(0, min(render.DefaultCache, 2*bytesPerPixel*size.X*size.Y))
}
