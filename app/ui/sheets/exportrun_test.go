package sheets

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"halocline/app/export"
)

func TestProgressText(t *testing.T) {
	start := time.Date(2026, 3, 12, 10, 0, 0, 0, time.UTC)
	text := func(seconds int, s export.Progress) string {
		return progressText(&export.Pace{Start: start}, start.Add(time.Duration(seconds)*time.Second), s)
	}
	assert.Equal(t, "12 of 72, about 30 s left", text(6, export.Progress{Done: 12, Total: 72}))
	assert.Equal(t, "12 of 72, about 5 min left", text(60, export.Progress{Done: 12, Total: 72}))
	assert.Equal(t, "1 of 72", text(1, export.Progress{Done: 1, Total: 72, Left: true}))
	assert.Equal(t, "72 of 72", text(9, export.Progress{Done: 72, Total: 72}))
}
