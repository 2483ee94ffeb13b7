package study

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// MaxRate is the highest frame rate, in frames a second, that may be set.
const MaxRate = 1000

// oldColourRates are those that were made slower by 1000/1001 for colour
// television (SMPTE ST 12-1), and that people write rounded: 29.97.
var oldColourRates = []int{24, 30, 48, 60, 120}

// ParseRate reads a frame rate: "25", "30000/1001", or a decimal fraction, where
// 23.976, 23.98, 29.97, 47.952, 59.94 and 119.88 mean the rates that they round.
// The result is in lowest terms.
func ParseRate(s string) ([2]int, error) {
	wrong := fmt.Errorf("study: frame rate is %q, want frames a second over 0 and at most %d, such as 25, 29.97 or 30000/1001", s, MaxRate)
	s = strings.TrimSpace(s)
	above, below, isFraction := strings.Cut(s, "/")
	if isFraction {
		n, err1 := strconv.Atoi(above)
		d, err2 := strconv.Atoi(below)
		if err1 != nil || err2 != nil || n <= 0 || d <= 0 || n > maxCount || d > maxCount || float64(n)/float64(d) > MaxRate {
			return [2]int{}, wrong
		}
		return lowest(n, d), nil
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || !(v >= 0.001 && v <= MaxRate) {
		return [2]int{}, wrong
	}
	for _, n := range oldColourRates {
		if exact := float64(n) * 1000 / 1001; v != math.Trunc(v) && math.Abs(v-exact) < 0.006 {
			return [2]int{n * 1000, 1001}, nil
		}
	}
	return lowest(int(math.Round(v*1000)), 1000), nil
}

func lowest(n, d int) [2]int {
	a, b := n, d
	for b != 0 {
		a, b = b, a%b
	}
	return [2]int{n / a, d / a}
}

// RateText writes a rate as ParseRate reads it: "25", "29.97", "7/3"; "" for
// none.
func RateText(r [2]int) string {
	switch {
	case r[0] <= 0 || r[1] <= 0:
		return ""
	case r[0]%r[1] == 0:
		return strconv.Itoa(r[0] / r[1])
	case r[1] == 1001:
		short := strconv.FormatFloat(float64(r[0])/1001, 'f', 3, 64)
		short = strings.TrimRight(short, "0")
		if back, err := ParseRate(short); err == nil && back == r {
			return short
		}
	}
	return fmt.Sprintf("%d/%d", r[0], r[1])
}
