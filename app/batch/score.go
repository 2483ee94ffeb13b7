package batch

import (
	"context"
	"fmt"

	"halocline/app/check"
	"halocline/app/clip"
	"halocline/colour"
)

var scoreVerb = verb{
	name: "score", usage: "MATTE --truth TRUTH [--unknown N]",
	about: "Judge a matte against a true one: sum of absolute differences, mean squared and absolute error, IoU (sum of minima over sum of maxima), " +
		"balanced accuracy at one half, gradient and connectivity error (Rhemann et al. 2009). " +
		"Pixels whose truth has the 8-bit value N are left out; without --unknown none are.",
	examples: []string{
		"halocline-batch score mattes/skin/transect-skin.000001.png --truth truth/skin.000001.png",
		"halocline-batch score skin.png --truth trimap.png --unknown 128",
	},
	run: runScore,
}

func runScore(ctx context.Context, c *call) error {
	f := c.newFlags()
	truthPath := f.String("truth", "", "the true matte, a grey picture")
	unknownCode := f.Int("unknown", -1, "8-bit value of the truth where it is not known")
	args, err := c.parse(f, 1, 1)
	switch {
	case err != nil:
		return err
	case *truthPath == "":
		return misuse("found no --truth TRUTH, want the true matte")
	case isSet(f, "unknown") && (*unknownCode < 0 || *unknownCode > 255):
		return misuse("--unknown is %d, want an 8-bit value from 0 to 255", *unknownCode)
	}
	matte, _, err := clip.ReadGrey(ctx, args[0])
	if err != nil {
		return err
	}
	truth, _, err := clip.ReadGrey(ctx, *truthPath)
	if err != nil {
		return err
	}
	var unknown *colour.Plane
	if *unknownCode >= 0 {
		u := unknownWhere(truth, uint8(*unknownCode))
		unknown = &u
	}
	scores, err := check.Score(ctx, matte, truth, unknown)
	if err != nil {
		return fmt.Errorf("batch: %s against %s: %w", args[0], *truthPath, err)
	}
	return c.printJSON(scores)
}

// unknownWhere returns 1 where the truth has an 8-bit code, 0 elsewhere.
func unknownWhere(truth colour.Plane, code uint8) colour.Plane {
	u := colour.NewPlane(truth.W, truth.H)
	for i, v := range truth.Pix {
		if colour.Code8(v) == code {
			u.Pix[i] = 1
		}
	}
	return u
}
