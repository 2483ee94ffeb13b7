package export

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestAboutHowLong(t *testing.T) {
	for seconds, want := range map[float64]string{
		0: "a few seconds", 7.9: "a few seconds", 8: "about 10 seconds", 14: "about 10 seconds", 44: "about 40 seconds", 84: "about 80 seconds",
		85: "about 1 minute", 110: "about 2 minutes", 59 * 60: "about 59 minutes", 59.6 * 60: "about 1 hour", 66 * 60: "about 1 hour 10 minutes",
		119 * 60: "about 2 hours", 125 * 60: "about 2 hours 10 minutes",
	} {
		assert.Equal(t, want, About(time.Duration(seconds*float64(time.Second))), "%v s", seconds)
	}
}
