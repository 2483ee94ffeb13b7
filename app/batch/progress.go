package batch

import (
	"encoding/json"
	"fmt"
	"math"
	"time"

	"halocline/app/export"
)

// progressLine is what --progress json writes to stderr after each picture, one
// object a line.
type progressLine struct {
	Done    int      `json:"done"`
	Total   int      `json:"total"`
	Frame   int      `json:"frame"`
	Name    string   `json:"name"`
	Left    bool     `json:"left"`    // it was there
	Seconds float64  `json:"seconds"` // since the start
	ETA     *float64 `json:"eta"`     // seconds to go, null where nothing tells
}

// progress returns what tells of an export's progress in a form, "" for not at all.
func (c *call) progress(form string) (func(export.Progress), error) {
	switch form {
	case "":
		return nil, nil
	case "json":
	default:
		return nil, misuse("--progress is %q, want json", form)
	}
	start := time.Now()
	pace := export.Pace{Start: start}
	return func(s export.Progress) {
		now := time.Now()
		line := progressLine{s.Done, s.Total, s.Entry.Frame, s.Entry.Name, s.Left, inTenths(now.Sub(start)), nil}
		if left, ok := pace.Left(now, s); ok {
			eta := inTenths(left)
			line.ETA = &eta
		}
		if text, err := json.Marshal(line); err == nil {
			fmt.Fprintf(c.stderr, "%s\n", text)
		}
	}, nil
}

func inTenths(d time.Duration) float64 { return math.Round(d.Seconds()*10) / 10 }
