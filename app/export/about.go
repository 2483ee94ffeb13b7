package export

import (
	"fmt"
	"time"
)

// About says how long something takes, in words that promise no more than is known: "a few
// seconds", "about 40 seconds", "about 2 minutes", "about 1 hour 10 minutes".
func About(d time.Duration) string {
	switch seconds := d.Seconds(); {
	case seconds < 8:
		return "a few seconds"
	case seconds < 85:
		return fmt.Sprintf("about %d seconds", max(10, int(seconds/10+0.5)*10))
	}
	minutes := int(d.Minutes() + 0.5)
	if minutes < 60 {
		return "about " + counted(minutes, "minute")
	}
	if minutes = (minutes + 5) / 10 * 10; minutes%60 == 0 {
		return "about " + counted(minutes/60, "hour")
	}
	return fmt.Sprintf("about %s %d minutes", counted(minutes/60, "hour"), minutes%60)
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
