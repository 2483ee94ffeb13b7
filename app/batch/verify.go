package batch

import (
	"context"
	"fmt"

	"halocline/app/export"
)

var verifyVerb = verb{
	name: "verify", usage: "DIR",
	about:    "Check that every file that an export wrote to DIR is there, byte for byte.",
	examples: []string{"halocline-batch verify mattes"},
	run:      runVerify,
}

type verifyReport struct {
	Folder string         `json:"folder"`
	Good   int            `json:"good"`
	Faults []export.Fault `json:"faults"`
}

func runVerify(ctx context.Context, c *call) error {
	args, err := c.parse(c.newFlags(), 1, 1)
	if err != nil {
		return err
	}
	report, err := export.Verify(ctx, nil, args[0])
	good, faults := report.Good, report.Faults
	if err != nil {
		return err
	}
	if faults == nil {
		faults = []export.Fault{}
	}
	if err := c.printJSON(verifyReport{args[0], good, faults}); err != nil {
		return err
	}
	if len(faults) > 0 {
		return fmt.Errorf("batch: %d of %d files in %s are missing or damaged", len(faults), good+len(faults), args[0])
	}
	return nil
}
