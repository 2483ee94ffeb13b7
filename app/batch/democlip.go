package batch

import (
	"context"
	"fmt"
	"path/filepath"

	"halocline/app/check"
	"halocline/app/clip"
	"halocline/app/export"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

// A clipVerdict is what the skin's matte is worth over a clip: the mean IoU and
// the lowest with its frame, and the mean of its masks alone.
type clipVerdict struct {
	frames       int
	mean, lowest float64
	at           int
	mask         float64
}

// aMatte gives the skin's matte on a frame.
type aMatte func(ctx context.Context, frame int) (colour.Plane, error)

// scoreClip scores the skin on every recorded frame against the truth that was
// written.
func (set *sampleSet) scoreClip(ctx context.Context, matte aMatte) (clipVerdict, error) {
	frames := set.frames
	ways := []aMatte{matte, func(ctx context.Context, frame int) (colour.Plane, error) {
		return set.renderer.Mask(ctx, set.skinAt(frame))
	}}
	scores := make([][2]float64, len(frames))
	err := atOnce(ctx, 0, len(frames)-1, func(ctx context.Context, i int) error {
		truth, _, err := clip.ReadGrey(ctx, filepath.Join(set.folder, filepath.FromSlash(truthName(sampleClasses[0].name, frames[i]))))
		if err != nil {
			return err
		}
		for w, of := range ways {
			p, err := of(ctx, frames[i])
			if err != nil {
				return err
			}
			if scores[i][w], err = check.IoU(ctx, p, truth); err != nil {
				return fmt.Errorf("batch: frame %d: %w", frames[i], err)
			}
		}
		return nil
	})
	v := clipVerdict{frames: len(frames), lowest: 1}
	for i, s := range scores {
		share := 1 / float64(len(frames))
		v.mean, v.mask = v.mean+s[0]*share, v.mask+s[1]*share
		if s[0] < v.lowest || i == 0 {
			v.lowest, v.at = s[0], frames[i]
		}
	}
	return v, err
}

// rendered is the skin's matte as it is rendered.
func (set *sampleSet) rendered(ctx context.Context, frame int) (colour.Plane, error) {
	return set.renderer.Matte(ctx, set.skinAt(frame))
}

func (set *sampleSet) skinAt(frame int) render.Request {
	return render.Request{Study: set.study, Settings: &set.study.Mattes[0].Settings, Frame: frame}
}

// exported is the skin's matte as the file of an export has it.
func (set *sampleSet) exported(files []export.Entry) aMatte {
	path := map[int]string{}
	for _, f := range files {
		path[f.Frame] = filepath.Join(set.folder, "mattes", filepath.FromSlash(f.Name))
	}
	return func(ctx context.Context, frame int) (colour.Plane, error) {
		p, _, err := clip.ReadGrey(ctx, path[frame])
		return p, err
	}
}

// composeClip makes the study of all recorded frames: masks and base keyed, dabs
// on the marked frames, ranges fitted to all of them, and the skin's edge aligned to
// that in the picture and hardened.
func (set *sampleSet) composeClip(ctx context.Context) error {
	if err := set.open(ctx, len(set.frames)); err != nil {
		return err
	}
	set.addMattes()
	edge := &set.study.Mattes[0].Edge
	edge.Despeckle.Fix(200)
	edge.Align.Fix(4)
	edge.Harden.Fix(0.5)
	if err := set.setBase(ctx); err != nil {
		return err
	}
	return set.fit(ctx)
}

// demoClip goes on from the first frame to the whole clip, and hands the skin
// over on all of it.
func (c *call) demoClip(ctx context.Context, set *sampleSet, count int, one float64) error {
	fmt.Fprintf(c.stdout, "\nThe other %d frames of the clip are being drawn now; what stands above is there already.\n", count-1)
	if err := set.record(ctx, firstFrames(count)); err != nil {
		return err
	}
	if err := set.composeClip(ctx); err != nil {
		return err
	}
	if err := set.save(); err != nil {
		return err
	}
	skin := &set.study.Mattes[0]
	files, err := set.exportMattes(ctx, []*study.Matte{skin}, set.frames)
	if err != nil {
		return err
	}
	if _, err := set.exportMattes(ctx, set.mattes()[1:], set.frames[:1]); err != nil {
		return err
	}
	v, err := set.scoreClip(ctx, set.exported(files))
	if err != nil {
		return err
	}
	return c.printClip(set, skin, v, one)
}

func (c *call) printClip(set *sampleSet, skin *study.Matte, v clipVerdict, one float64) error {
	fmt.Fprintf(c.stdout, "\n%s over %d frames: IoU mean %.3f, lowest %.3f at frame %d, of the first alone %.3f; masks alone %.3f\n",
		skin.Name, v.frames, v.mean, v.lowest, v.at, one, v.mask)
	for _, m := range skin.Masks {
		fmt.Fprintf(c.stdout, "      The %s mask %q has keys at", m.Kind, m.Name)
		for i, k := range m.Keys {
			if i > 0 {
				fmt.Fprint(c.stdout, ",")
			}
			fmt.Fprintf(c.stdout, " %d", k.Frame)
		}
		fmt.Fprintln(c.stdout, ".")
	}
	_, err := fmt.Fprintf(c.stdout, "The study is of all of them now, the skin's mattes are in %s; sand and water are there of the first frame.\n",
		filepath.Join(set.folder, "mattes"))
	return err
}
