package batch

import (
	"context"
	"fmt"

	"halocline/app/study"
)

var rateVerb = verb{
	name: "rate", usage: "STUDY RATE",
	about:    "Say at how many frames a second a study's clip runs: files of a sequence do not tell, and 25 is taken.",
	examples: []string{"halocline-batch rate transect.halocline 29.97", "halocline-batch rate transect.halocline 24000/1001"},
	run:      runRate,
}

type rateReport struct {
	Study string `json:"study"`
	Rate  [2]int `json:"rate"` // frames per second as a fraction
}

func runRate(ctx context.Context, c *call) error {
	args, err := c.parse(c.newFlags(), 2, 2)
	if err != nil {
		return err
	}
	rate, err := study.ParseRate(args[1])
	if err != nil {
		return misuse("%v", err)
	}
	w, err := c.openToChange(ctx, args[0])
	if err != nil {
		return err
	}
	if w.Study.Clip.Rate == [2]int{} {
		return fmt.Errorf("batch: %s is a study of a still, which has no frame rate", w.Path)
	}
	w.Study.Clip.Rate = rate
	if err := w.save(ctx, ""); err != nil {
		return err
	}
	return c.printJSON(rateReport{w.Path, rate})
}
