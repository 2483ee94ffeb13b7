package batch

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// newFlags returns an empty flag set for the call's verb. Its own messages are
// dropped: parse makes them errors.
func (c *call) newFlags() *flag.FlagSet {
	f := flag.NewFlagSet(c.verb.name, flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.Usage = func() {}
	return f
}

// parse reads the call's flags, which may stand before and after arguments, and
// returns the arguments, at least least and at most most of them.
func (c *call) parse(f *flag.FlagSet, least, most int) (arguments []string, err error) {
	rest := c.args
	for {
		if err := f.Parse(rest); err != nil {
			if err == flag.ErrHelp {
				c.verb.printHelp(c.stdout, f)
				return nil, err
			}
			return nil, misuse("%v", err)
		}
		rest = f.Args()
		if len(rest) == 0 {
			break
		}
		arguments = append(arguments, rest[0])
		rest = rest[1:]
	}
	if len(arguments) < least || len(arguments) > most {
		return nil, misuse("found %d arguments, want %s %s", len(arguments), c.verb.name, c.verb.usage)
	}
	return arguments, nil
}

// isSet reports whether a flag was given.
func isSet(f *flag.FlagSet, name string) (set bool) {
	f.Visit(func(g *flag.Flag) { set = set || g.Name == name })
	return set
}

// A disc is a flag X,Y,R: a place on the picture, in pixels.
type disc struct {
	set          bool
	x, y, radius float64
}

func (d *disc) String() string {
	if d == nil || !d.set {
		return ""
	}
	return fmt.Sprintf("%g,%g,%g", d.x, d.y, d.radius)
}

func (d *disc) Set(s string) error {
	parts := strings.Split(s, ",")
	if len(parts) != 3 {
		return fmt.Errorf("want three numbers X,Y,R")
	}
	for i, to := range []*float64{&d.x, &d.y, &d.radius} {
		v, err := number(parts[i])
		if err != nil {
			return err
		}
		*to = v
	}
	if d.radius < 0 {
		return fmt.Errorf("radius is %g, want 0 or more", d.radius)
	}
	d.set = true
	return nil
}

// number reads a finite number.
func number(s string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("found %q, want a number", s)
	}
	return v, nil
}

// A list is a flag that may be given several times.
type list []string

func (l *list) String() string { return strings.Join(*l, ",") }

func (l *list) Set(s string) error {
	*l = append(*l, s)
	return nil
}

// A size is a flag WxH in pixels.
type size struct{ w, h int }

func (s *size) String() string { return fmt.Sprintf("%dx%d", s.w, s.h) }

func (s *size) Set(v string) error {
	w, h, ok := strings.Cut(v, "x")
	var errW, errH error
	s.w, errW = strconv.Atoi(w)
	s.h, errH = strconv.Atoi(h)
	if !ok || errW != nil || errH != nil {
		return fmt.Errorf("want WxH in pixels, such as 1280x720")
	}
	return nil
}

// printJSON writes v, indented, as the verb's result.
func (c *call) printJSON(v any) error {
	text, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return fmt.Errorf("batch: result cannot be written as JSON: %w", err)
	}
	_, err = fmt.Fprintf(c.stdout, "%s\n", text)
	return err
}
