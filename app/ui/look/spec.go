package look

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Spec says what a number is: its name and unit, from where to where it goes,
// by how much one press of an arrow changes it, and how it is written.
type Spec struct {
	Label, Unit, Hint string

	Min, Max float64

	// Low and High are where a slider ends that need not reach all that can be
	// typed; both 0: Min and Max.
	Low, High float64

	Increment float64 // an arrow, and the grid of the slider; 0: a hundredth of the way
	Neutral   float64 // what a double click gives
	Decimals  int
	Signed    bool // above 0 it is written with a plus
	Tick      bool // the slider has a tick at Neutral

	// Log gives each doubling the same way on the slider; where Min is not
	// above 0, each doubling of the distance from Min, from one increment on.
	Log bool
}

// rail is the spec of the slider.
func (s Spec) rail() Spec {
	if s.Low != s.High {
		s.Min, s.Max = s.Low, s.High
	}
	return s
}

func (s Spec) increment() float64 {
	if s.Increment == 0 {
		return (s.Max - s.Min) / 100
	}
	return s.Increment
}

func (s Spec) clamp(v float64) float64 { return min(max(v, s.Min), s.Max) }

// share is where v lies on the slider, from 0 to 1.
func (s Spec) share(v float64) float64 {
	v = s.clamp(v)
	switch {
	case s.Max <= s.Min:
		return 0
	case !s.Log:
		return (v - s.Min) / (s.Max - s.Min)
	case s.Min > 0:
		return math.Log(v/s.Min) / math.Log(s.Max/s.Min)
	}
	return math.Log1p((v-s.Min)/s.increment()) / math.Log1p((s.Max-s.Min)/s.increment())
}

// at is the value where the slider stands, on the grid of the increments.
func (s Spec) at(share float64) float64 {
	share = min(max(share, 0), 1)
	var v float64
	switch {
	case !s.Log:
		v = s.Min + share*(s.Max-s.Min)
	case s.Min > 0:
		v = s.Min * math.Exp(share*math.Log(s.Max/s.Min))
	default:
		v = s.Min + s.increment()*math.Expm1(share*math.Log1p((s.Max-s.Min)/s.increment()))
	}
	return s.clamp(clean(math.Round(v/s.increment()) * s.increment()))
}

// clean takes the last digits' noise off a decimal number that was computed in
// increments: 0.1 + 0.2 is written 0.3.
func clean(v float64) float64 {
	c, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 12, 64), 64)
	if err != nil {
		return v
	}
	return c
}

// incremented is v after n increments, which need not be whole. A value beyond the limit
// that the increments go to stays where it is: a slider may end short of it.
func (s Spec) incremented(v, n float64) float64 {
	if n > 0 && v >= s.Max || n < 0 && v <= s.Min {
		return v
	}
	return s.clamp(clean(v + n*s.increment()))
}

// format writes v with a true minus sign. fine shows one digit more where v
// needs it.
func (s Spec) format(v float64, fine bool) string {
	digits := s.Decimals
	if fine {
		if scale := math.Pow10(digits); math.Abs(v*scale-math.Round(v*scale)) > 0.05 {
			digits++
		}
	}
	text := strconv.FormatFloat(math.Abs(v), 'f', digits, 64)
	switch {
	case strings.Trim(text, "0.") == "":
		return text // no sign before nothing
	case v < 0:
		return "−" + text
	case s.Signed:
		return "+" + text
	}
	return text
}

// parse reads what the user typed: a minus or a hyphen, a point or a comma, the
// unit behind it or not.
func (s Spec) parse(text string) (float64, error) {
	t := strings.TrimSpace(text)
	if s.Unit != "" {
		t = strings.TrimSpace(strings.TrimSuffix(t, s.Unit))
	}
	t = strings.NewReplacer("−", "-", ",", ".").Replace(t)
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a number: %s", strings.TrimSpace(text), s.Limits())
	}
	if v < s.Min || v > s.Max {
		return 0, fmt.Errorf("%s is outside: %s", strings.TrimSpace(text), s.Limits())
	}
	return v, nil
}

// Limits says in words what the number may be.
func (s Spec) Limits() string {
	name := s.Label
	if name == "" {
		name = "it"
	}
	unit := ""
	if s.Unit != "" {
		unit = " " + s.Unit
	}
	return fmt.Sprintf("%s goes from %s to %s%s", name, s.format(s.Min, true), s.format(s.Max, true), unit)
}
