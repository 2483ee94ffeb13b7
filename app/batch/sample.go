package batch

import (
	"context"
	"flag"
	"fmt"

	"halocline/app/scene"
)

var sampleVerb = verb{
	name: "sample", usage: "DIR [--seed N] [--size WxH] [--frames N]",
	about: "Write the demo scene into DIR: a frame, true mattes of skin, sand and water, masks of what to keep and drop for each, " +
		"and a study with fitted mattes. With --frames a sequence with the true mattes of every frame; dabs lie on the first, middle and last, with masks for each of these (skin.keep.png of the first, skin.000036.keep.png of frame 36), and the skin's polygons have up to six keys. Prints where the grey slate and open water lie, for base.",
	examples: []string{"halocline-batch sample scene --seed 3", "halocline-batch sample scene --size 1920x1080"},
	run:      runSample,
}

// A sampleReport says where things lie, as X,Y,R of the flags that take them.
type sampleReport struct {
	Folder  string   `json:"folder"`
	Study   string   `json:"study"`
	Frame   string   `json:"frame"` // the first
	Frames  int      `json:"frames,omitempty"`
	Seed    int      `json:"seed"`
	Width   int      `json:"width"`
	Height  int      `json:"height"`
	Slate   string   `json:"slate"`
	Water   string   `json:"openWater"`
	Mattes  []string `json:"mattes"`
	Written []string `json:"written"`
}

func runSample(ctx context.Context, c *call) error {
	f := c.newFlags()
	seed := f.Int("seed", 1, "which scene")
	s := size{scene.Width, scene.Height}
	f.Var(&s, "size", "of the frame, WxH")
	count := framesFlag(f, 1)
	args, err := c.parse(f, 1, 1)
	if err == nil {
		err = checkFrames(*count)
	}
	if err == nil && args[0] == "" {
		err = misuse("found no name of a folder, want one to write to")
	}
	if err != nil {
		return err
	}
	t, err := makeTake(ctx, args[0], "sample", *seed, s, *count)
	if err != nil {
		return err
	}
	if err := t.save(ctx); err != nil {
		return err
	}
	names := []string{}
	for _, m := range t.Study.Mattes {
		names = append(names, m.Name)
	}
	if *count == 1 {
		*count = 0 // a still has none to count
	}
	return c.printJSON(sampleReport{
		Frames: *count, Folder: args[0], Study: t.path, Frame: t.FramePath(), Seed: *seed, Width: s.w, Height: s.h,
		Slate: spotFlag(t.Frame.Slate), Water: spotFlag(t.Frame.OpenWater), Mattes: names, Written: t.Written,
	})
}

// framesFlag is how many frames of the scene are made.
func framesFlag(f *flag.FlagSet, usual int) *int {
	return f.Int("frames", usual, fmt.Sprintf("how many, 1 to %d", scene.Frames))
}

func checkFrames(n int) error {
	if n < 1 || n > scene.Frames {
		return misuse("--frames is %d, want 1 to %d", n, scene.Frames)
	}
	return nil
}

func spotFlag(s scene.Spot) string { return fmt.Sprintf("%.0f,%.0f,%.0f", s.X, s.Y, s.Radius) }
