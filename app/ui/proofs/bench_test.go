package proofs

import (
	"context"
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/proof"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/app/view"
)

// benchProofs are eight proofs of the sample's skin on a 4K still, as a sheet in a
// window of 1280 x 800 shows them, and the source they are rendered from.
func benchProofs(tb testing.TB) (job, render.Source) {
	tb.Helper()
	s := stage.MaskedSample(tb, 3840, 2160)
	m := &s.Mattes[0]
	of, err := proof.ParameterNamed(&m.Settings, "soften")
	require.NoError(tb, err)
	sweep := proof.Sweep{Of: of, From: 0, To: 24, Count: 8}
	items := proof.Items(m, false, &sweep)[:8]
	j := job{
		sheet: &proof.Sheet{Study: s, Matte: new(study.Matte), Items: items, Frames: []int{1}, Factor: 2},
		view:  view.Cutout, vp: view.Viewport{W: 3840, H: 2160, VW: 295, VH: 166}.Fit(), tiles: image.Pt(1, 1),
	}
	for i := range items {
		j.order = append(j.order, i)
	}
	return j, stage.Still{Picture: stage.Enlarged(tb, 3840, 2160)}
}

// BenchmarkProofs is how long a sheet of eight proofs on a 4K still takes, decoding left
// out: until the first picture, until all are there, quick and fine, and their figures;
// from nothing, and where the window has looked at the matte before.
func BenchmarkProofs(b *testing.B) {
	j, source := benchProofs(b)
	k := newWorker(func([]news) {})
	defer k.jobs.Stop()
	factor := view.FullFactor(j.vp.Zoom)
	seen := func(b *testing.B) *render.Renderer {
		r := render.New(source, 0, render.DefaultCache)
		_, err := r.Matte(b.Context(), render.Request{Study: j.sheet.Study, Settings: j.sheet.Items[0].Settings, Frame: 1})
		require.NoError(b, err)
		return r
	}
	picture := func(b *testing.B, r *render.Renderer, quick bool, items ...int) {
		j.pictures = r
		for _, i := range items {
			_, err := k.picture(b.Context(), j, i, factor, quick)
			require.NoError(b, err)
		}
	}
	for name, made := range map[string]func(*testing.B) *render.Renderer{
		"from nothing":       func(*testing.B) *render.Renderer { return render.New(source, 0, render.DefaultCache) },
		"seen in the window": seen,
	} {
		for part, work := range map[string]func(b *testing.B, r *render.Renderer){
			"first":     func(b *testing.B, r *render.Renderer) { picture(b, r, true, j.order[0]) },
			"all quick": func(b *testing.B, r *render.Renderer) { picture(b, r, true, j.order...) },
			"all fine":  func(b *testing.B, r *render.Renderer) { picture(b, r, false, j.order...) },
			"figures": func(b *testing.B, r *render.Renderer) {
				require.NoError(b, j.sheet.Judge(context.Background(), r, new(proof.Cache), func(int, proof.Figures) {}))
			},
		} {
			b.Run(name+"/"+part, func(b *testing.B) {
				for b.Loop() {
					b.StopTimer()
					r := made(b)
					b.StartTimer()
					work(b, r)
				}
			})
		}
	}
}
