package staging

import (
	"context"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/scene"
)

// Frames at full size take seconds each. The tests of this package share those of the
// first scenes, and the takes made of them; they run one after another.

// sharedSeeds is up to which seed frames and takes are kept: of those after it only one
// test asks.
const sharedSeeds = 5

// A reel is a scene at full size. It draws each frame that is asked for once, and keeps
// it; nobody changes a frame.
type reel struct {
	clip   *scene.Clip
	mu     sync.Mutex
	frames map[int]func() (*scene.Frame, error)
}

// Frame returns a frame. Several may be asked for at once.
func (r *reel) Frame(ctx context.Context, n, workers int) (*scene.Frame, error) {
	r.mu.Lock()
	draw := r.frames[n]
	if draw == nil {
		draw = sync.OnceValues(func() (*scene.Frame, error) { return r.clip.Frame(ctx, n, workers) })
		r.frames[n] = draw
	}
	r.mu.Unlock()
	return draw()
}

var reels [sharedSeeds + 1]*reel

// reelOf returns the reel of a seed.
func reelOf(t *testing.T, seed int) *reel {
	t.Helper()
	if seed <= sharedSeeds && reels[seed] != nil {
		return reels[seed]
	}
	clip, err := scene.NewClip(t.Context(), seed, scene.Width, scene.Height)
	require.NoError(t, err)
	r := &reel{clip: clip, frames: map[int]func() (*scene.Frame, error){}}
	if seed <= sharedSeeds {
		reels[seed] = r
	}
	return r
}

// A still is the take of a first frame, as it comes and after base.
type still struct{ came, based *Take }

var stills [sharedSeeds + 1]*still

// stillOf returns what Make makes of the first frame of a seed's scene at full size, and
// the same after SetBase and Fit: takes of the caller's own.
func stillOf(t *testing.T, seed int) (came, based *Take) {
	t.Helper()
	if seed <= sharedSeeds && stills[seed] != nil {
		return stills[seed].came.own(), stills[seed].based.own()
	}
	came, err := beginOn(t.Context(), reelOf(t, seed), t.TempDir(), seed)
	require.NoError(t, err)
	require.NoError(t, came.compose(t.Context()))
	based = came.own()
	require.NoError(t, based.SetBase(t.Context()))
	require.NoError(t, based.Fit(t.Context()))
	if seed <= sharedSeeds {
		stills[seed] = &still{came.own(), based.own()}
	}
	return came, based
}

// own returns the take of one frame with a study and a renderer of its own, which need none
// of its files: the picture in memory is that in its file, for its values are of 8 bits.
func (t *Take) own() *Take {
	out := *t
	out.Study = t.Study.Clone()
	out.Renderer = render.New(film{1: t.Frame}, 0, render.DefaultCache)
	return &out
}
