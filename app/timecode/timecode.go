// Package timecode counts frames as SMPTE ST 12-1 does, with and without
// drop-frame.
package timecode

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A Rate is frames per second as a fraction: 25/1, 30000/1001.
type Rate struct{ Num, Den int }

// Known reports whether the rate is one.
func (r Rate) Known() bool { return r.Num > 0 && r.Den > 0 }

// Float is the rate in frames per second.
func (r Rate) Float() float64 { return float64(r.Num) / float64(r.Den) }

// Counted is how many numbers a second of timecode has: the rate, rounded up
// where it is a fraction such as 30000/1001.
func (r Rate) Counted() int { return max(1, int(math.Round(r.Float()))) }

// CanDrop reports whether drop-frame counting is defined for the rate: 30 or 60
// frames a second divided by 1.001.
func (r Rate) CanDrop() bool {
	if !r.Known() || r.Num%r.Den == 0 {
		return false
	}
	c := r.Counted()
	return (c == 30 || c == 60) && math.Abs(r.Float()*1.001-float64(c)) < 1e-4
}

// Day is how long timecode runs before it begins again, in hours.
const Day = 24

// Text returns a frame's SMPTE ST 12-1 timecode: hh:mm:ss:ff, or with drop
// hh:mm:ss;ff. Frame 0 is 00:00:00:00; after 24 hours it begins again.
//
// Drop-frame: of each minute but every tenth the first two numbers are left out
// at 30/1.001 frames a second, and the first four, the same two pairs, at
// 60/1.001 (ST 12-1:2014, 5.2.2). No frame is. Other rates never drop.
func Text(frame int, r Rate, drop bool) string {
	n, fps := frame, r.Counted()
	sep := ':'
	if drop && r.CanDrop() {
		n, sep = NumberOf(frame, fps), ';'
	}
	n = Mod(n, Day*3600*fps)
	s := n / fps
	digits := max(2, len(strconv.Itoa(fps-1)))
	return fmt.Sprintf("%02d:%02d:%02d%c%0*d", s/3600, s/60%60, s%60, sep, digits, n%fps)
}

// Mod is a modulo n, from 0 to n-1 for any a.
func Mod(a, n int) int { return (a%n + n) % n }

// NumberOf is what the count stands at on a frame where numbers are dropped.
func NumberOf(frame, fps int) int {
	left := fps / 15 // 2 of 30, 4 of 60
	minute := 60*fps - left
	tens := 10*minute + left // the first of ten minutes drops none
	frame = Mod(frame, Day*6*tens)
	ten, rest := frame/tens, frame%tens
	dropped := 9 * left * ten
	if rest >= 60*fps {
		dropped += left * (1 + (rest-60*fps)/minute)
	}
	return frame + dropped
}

// FrameOf is the first frame on or after a count of numbers from which some are
// dropped.
func FrameOf(number, fps int) int {
	left := fps / 15
	minutes := number / (60 * fps)
	dropped := left * (minutes - minutes/10)
	if minutes%10 != 0 {
		dropped -= max(0, left-number%(60*fps)) // a number that is left out: the next one
	}
	return number - dropped
}

// Parse reads a frame number, or a timecode of up to four groups of digits:
// 41, 12:07 (second and frame), 00:01:12;07. Drop-frame is Counted where the
// rate has it and a semicolon stands before the frames.
func Parse(text string, r Rate) (frame int, err error) {
	text = strings.TrimSpace(text)
	groups := strings.FieldsFunc(text, func(c rune) bool { return c == ':' || c == ';' })
	var fields [4]int
	for i, g := range groups {
		v, err := strconv.Atoi(g)
		if err != nil || v < 0 && len(groups) > 1 || len(groups) > 4 || len(g) > 9 {
			return 0, fmt.Errorf("timecode: time is %q, want a frame number or hh:mm:ss:ff", text)
		}
		fields[4-len(groups)+i] = v
	}
	switch {
	case len(groups) == 0:
		return 0, fmt.Errorf("timecode: time is %q, want a frame number or hh:mm:ss:ff", text)
	case len(groups) == 1:
		return fields[3], nil
	}
	if !r.Known() {
		return 0, fmt.Errorf("timecode: time is %q, want a frame number: the rate is not known", text)
	}
	fps := r.Counted()
	if fields[1] > 59 || fields[2] > 59 || fields[3] >= fps || fields[0] >= Day {
		return 0, fmt.Errorf("timecode: time is %q, want up to 23:59:59 and frames 0 to %d", text, fps-1)
	}
	number := ((fields[0]*60+fields[1])*60+fields[2])*fps + fields[3]
	if strings.Contains(text, ";") && r.CanDrop() {
		if left := fps / 15; fields[1]%10 != 0 && fields[2] == 0 && fields[3] < left {
			return 0, fmt.Errorf("timecode: time is %q, want a number that exists: drop-frame has none below %02d there", text, left)
		}
		return FrameOf(number, fps), nil
	}
	return number, nil
}
