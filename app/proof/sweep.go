package proof

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"halocline/app/study"
)

// A Sweep goes over one parameter, finer where the value is near 0: there a pixel
// makes more of a difference.
type Sweep struct {
	Of       Parameter
	From, To float64
	Count    int // of values
	// Offered is a value of least misfit that is known already: all that offer one say the
	// same. nil where none is known.
	Offered *float64
}

// mostValues is more than fit on a sheet that one can look at.
const mostValues = 64

// Check returns an error where a sweep is out of bounds.
func (w Sweep) Check() error {
	switch {
	case w.Count < 2 || w.Count > mostValues:
		return fmt.Errorf("proof: a sweep of %s over %d values, want 2 to %d", w.Of.Label, w.Count, mostValues)
	case !(w.From >= w.Of.Min && w.From < w.To && w.To <= w.Of.Max):
		return fmt.Errorf("proof: a sweep of %s from %v to %v, want rising values from %v to %v", w.Of.Label, w.From, w.To, w.Of.Min, w.Of.Max)
	}
	return nil
}

// Values returns the values of a sweep that passes Check: they rise from its first
// end to its last, and those between are rounded to what the parameter asks for,
// where that leaves them apart. Above 0 their distances from the first are the
// squares of evenly spaced numbers, below 0 those from the last; across 0 their own square
// roots, with a sign, are even. Those of a parameter that is Even lie evenly. An offered value stands in place of the one between the
// ends that is nearest.
func (w Sweep) Values() []float64 {
	out := w.rounded()
	if w.Offered == nil || w.Count < 3 || *w.Offered <= w.From || *w.Offered >= w.To {
		return out
	}
	at := 1
	for i := 2; i < len(out)-1; i++ {
		if math.Abs(out[i]-*w.Offered) < math.Abs(out[at]-*w.Offered) {
			at = i
		}
	}
	out[at] = *w.Offered
	return out
}

func (w Sweep) rounded() []float64 {
	out := spaced(w.From, w.To, w.Count)
	if w.Of.Even {
		out = evenly(w.From, w.To, w.Count)
	}
	rounded := make([]float64, len(out))
	for i, v := range out {
		rounded[i] = v
		if i > 0 && i < len(out)-1 {
			// 1/Round is whole: a quotient of whole numbers has no stray digits.
			whole := math.Round(1 / w.Of.Round)
			rounded[i] = math.Round(v*whole) / whole
		}
		if i > 0 && !(rounded[i] > rounded[i-1]) {
			return out
		}
	}
	return rounded
}

func evenly(from, to float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = from + (to-from)*float64(i)/float64(n-1)
	}
	out[n-1] = to
	return out
}

func spaced(from, to float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		u := float64(i) / float64(n-1)
		switch {
		case from >= 0:
			out[i] = from + (to-from)*u*u
		case to <= 0:
			out[i] = to + (from-to)*(1-u)*(1-u)
		default:
			low, high := -math.Sqrt(-from), math.Sqrt(to)
			root := low + (high-low)*u
			out[i] = math.Copysign(root*root, root)
		}
	}
	out[0], out[n-1] = from, to
	return out
}

// Usual returns the sweep over a parameter that one would begin with on frames of a
// width: lengths go farther on frames wider than 1920 pixels, as what they are about is
// as much larger.
func Usual(p Parameter, width int) Sweep {
	if more := float64(width) / 1920; p.Unit == "px" && more > 1 {
		p.Low, p.High = math.Round(p.Low*more), math.Round(p.High*more)
	}
	count := 6
	if p.Low < 0 && p.High > 0 {
		count = 7 // one of them is 0
	}
	return Sweep{Of: p, From: p.Low, To: p.High, Count: count}
}

// ParseSweep reads a sweep over settings as a command line has it: NAME=FROM:TO:COUNT,
// such as soften=0:12:7. It passes Check.
func ParseSweep(s *study.Settings, text string) (Sweep, error) {
	at := strings.LastIndex(text, "=")
	numbers := strings.Split(text[at+1:], ":")
	if at < 0 || len(numbers) != 3 {
		return Sweep{}, fmt.Errorf("proof: sweep is %q, want NAME=FROM:TO:COUNT, such as soften=0:12:7", text)
	}
	p, err := ParameterNamed(s, strings.TrimSpace(text[:at]))
	if err != nil {
		return Sweep{}, err
	}
	w := Sweep{Of: p}
	for i, to := range []*float64{&w.From, &w.To} {
		if *to, err = strconv.ParseFloat(strings.TrimSpace(numbers[i]), 64); err != nil {
			return Sweep{}, fmt.Errorf("proof: sweep %q: found %q, want a number", text, numbers[i])
		}
	}
	if w.Count, err = strconv.Atoi(strings.TrimSpace(numbers[2])); err != nil {
		return Sweep{}, fmt.Errorf("proof: sweep %q: found %q, want a whole number of values", text, numbers[2])
	}
	return w, w.Check()
}
