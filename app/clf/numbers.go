package clf

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// depths are the bit depths, with the code that each has for 1.
var depths = map[string]float64{"8i": 255, "10i": 1023, "12i": 4095, "16i": 65535, "16f": 1, "32f": 1}

// depth reads a node's bit depth.
func (e *element) depth(name string) (full float64, err error) {
	text, there := e.attr(name)
	if !there {
		return 0, e.fail("%s has no %s", e.name, name)
	}
	full, known := depths[text]
	if !known {
		return 0, e.fail("%s is %q, want 8i, 10i, 12i, 16i, 16f or 32f", name, text)
	}
	return full, nil
}

// choice reads an attribute that is one of several words; missing is what it is where
// it is not there, "" for an error.
func (e *element) choice(name, missing string, of []string) (string, error) {
	text, there := e.attr(name)
	if !there {
		text = missing
	}
	switch {
	case slices.Contains(of, text):
		return text, nil
	case !there:
		return "", e.fail("%s has no %s, want one of %s", e.name, name, strings.Join(of, ", "))
	}
	return "", e.fail("%s is %q, want one of %s", name, text, strings.Join(of, ", "))
}

// isTrue reads an attribute that may be there as "true" alone.
func (e *element) isTrue(name string) (bool, error) {
	text, there := e.attr(name)
	if there && text != "true" {
		return false, e.fail("%s is %q, want true", name, text)
	}
	return there, nil
}

// numberAttr reads an attribute into to where it is there.
func (e *element) numberAttr(name string, to *float64) (there bool, err error) {
	text, there := e.attr(name)
	if there {
		if *to, err = finite(text); err != nil {
			return true, e.fail("%s is %v", name, err)
		}
	}
	return there, nil
}

// numbers reads the element's text: n finite numbers.
func (e *element) numbers(n int) ([]float64, error) {
	return eachNumber(e, n, finite)
}

// eachNumber reads the element's text as n words, each by read.
func eachNumber(e *element, n int, read func(string) (float64, error)) ([]float64, error) {
	if len(e.children) > 0 {
		return nil, e.children[0].fail("%s lies in %s, want numbers alone", e.children[0].name, e.name)
	}
	values := make([]float64, 0, min(n, 1<<16)) // no more than the text has, whatever n says
	for i, row := range strings.Split(e.text, "\n") {
		for word := range strings.FieldsSeq(row) {
			v, err := read(word)
			if err != nil {
				return nil, failAt(e.textLine+i, "%s is %v", e.name, err)
			}
			if len(values) == n {
				return nil, failAt(e.textLine+i, "%s has more than %d numbers", e.name, n)
			}
			values = append(values, v)
		}
	}
	if len(values) < n {
		return nil, e.fail("%s has %d numbers, want %d", e.name, len(values), n)
	}
	return values, nil
}

// finite reads a number.
func finite(word string) (float64, error) {
	v, err := anyNumber(word)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%s, want a number", quoted(word))
	}
	return v, nil
}

// anyNumber reads a number that may be infinite or none, as tables over all 16-bit
// values have them.
func anyNumber(word string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(word), 64)
	if err != nil || strings.ContainsAny(word, "xXpP_") {
		return 0, fmt.Errorf("%s, want a number", quoted(word))
	}
	return v, nil
}

// rawHalf reads the bits of a 16-bit floating-point value.
func rawHalf(word string) (float64, error) {
	bits, err := strconv.ParseUint(word, 10, 16)
	if err != nil {
		return 0, fmt.Errorf("%s, want a whole number from 0 to 65535", quoted(word))
	}
	return half(uint16(bits)), nil
}

// quoted is what stands in a file, in few words.
func quoted(text string) string {
	if r := []rune(text); len(r) > 60 {
		return fmt.Sprintf("text %q...", string(r[:60]))
	}
	return fmt.Sprintf("text %q", text)
}
