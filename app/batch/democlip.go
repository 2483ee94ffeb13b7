package batch

import (
	"context"
	"fmt"

	"halocline/app/clip"
	"halocline/app/export"
	"halocline/app/scene/staging"
	"halocline/app/study"
	"halocline/colour"
)

// demoClip goes on from the first frame to the whole clip, and hands the skin
// over on all of it.
func (c *call) demoClip(ctx context.Context, t take, count int, one float64) error {
	fmt.Fprintf(c.stdout, "\nThe other %d frames of the clip are being drawn now; what stands above is there already.\n", count-1)
	if err := t.Extend(ctx, count); err != nil {
		return err
	}
	if err := t.save(ctx); err != nil {
		return err
	}
	skin := &t.Study.Mattes[0]
	files, err := t.exportMattes(ctx, []*study.Matte{skin}, t.Frames)
	if err != nil {
		return err
	}
	if _, err := t.exportMattes(ctx, t.mattes()[1:], t.Frames[:1]); err != nil {
		return err
	}
	v, err := t.ScoreClip(ctx, t.exported(files))
	if err != nil {
		return err
	}
	return c.printClip(t, skin, v, one)
}

func (c *call) printClip(t take, skin *study.Matte, v staging.ClipVerdict, one float64) error {
	fmt.Fprintf(c.stdout, "\n%s over %d frames: IoU mean %.3f, lowest %.3f at frame %d, of the first alone %.3f; masks alone %.3f\n",
		skin.Name, v.Frames, v.Mean, v.Lowest, v.At, one, v.Masks)
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
		t.matteFolder())
	return err
}

// exported is the skin's matte as the file of an export has it.
func (t take) exported(files []export.Entry) staging.MatteAt {
	path := map[int]string{}
	for _, f := range files {
		path[f.Frame] = t.mattePath(f)
	}
	return func(ctx context.Context, frame int) (colour.Plane, error) {
		p, _, err := clip.ReadGrey(ctx, path[frame])
		return p, err
	}
}
