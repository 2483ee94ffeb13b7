// Package clf writes base as files of the Common LUT Format (.clf), reads such files, and
// works out what they do.
//
// The format is that of Academy specification S-2014-006, A Common File Format for
// Look-Up Tables, version 3.0, as printed at docs.acescentral.com/specifications/clf: a
// process list in XML, whose nodes change a colour one after the other. Names of elements
// and attributes, defaults and formulas are the specification's; the comment says so where
// it is silent and the choice is ours.
//
// Here values are what the specification calls normalised: 1 is the full code of an
// integer bit depth. Bit depths only scale numbers in a file, never round a colour.
package clf

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strings"

	"halocline/app/regular"
	"halocline/app/study"
	"halocline/colour"
)

// Ending is what names of such files end in.
const Ending = ".clf"

// version is the specification's, in an attribute of every list.
const version = "3.0"

// A List is a process list.
type List struct {
	ID            string // required in files
	Name          string
	Notes         []string // what the list is for, a description each
	Input, Output string   // descriptions of the values that go in and come out
	Steps         []Step   // at least one in files
}

// A Step is a node of a list.
type Step struct {
	Note string // what it does, in words
	Node Node
}

// A Node changes a colour. It is one of Matrix, Range, LUT1D, LUT3D, Exponent, Log and
// CDL.
type Node interface {
	run(v [3]float64) [3]float64
}

// Colour returns what the list makes of a colour. Each node's result is rounded to 32
// bits, the precision that the specification demands.
func (l *List) Colour(c colour.RGB) colour.RGB {
	v := [3]float64{c.R, c.G, c.B}
	for _, s := range l.Steps {
		v = s.Node.run(v)
		for i := range v {
			v[i] = float64(float32(v[i]))
		}
	}
	return colour.RGB{R: v[0], G: v[1], B: v[2]}
}

// Read reads a file. Errors name the file, the line, what was found and what was
// wanted.
func Read(path string) (*List, error) {
	f, _, err := regular.Open(path)
	var other *regular.Error
	if errors.As(err, &other) {
		other.Want = "a file of the Common LUT Format"
	}
	if err != nil {
		return nil, fmt.Errorf("clf: %w", err)
	}
	defer f.Close()
	l, err := Parse(f)
	var reading *fs.PathError
	if errors.As(err, &reading) {
		err = reading.Err // without the path, which stands before it
	}
	if err != nil {
		return nil, fmt.Errorf("clf: %s: %w", path, err)
	}
	return l, nil
}

// Write writes a list to a file whose name ends in Ending, whole or not at all. Read
// gives back an equal one. Lists with a LUT3D or a CDL are not written.
func Write(path string, l *List) error {
	if !strings.HasSuffix(strings.ToLower(path), Ending) {
		return fmt.Errorf("clf: %s is not written: want a name that ends in %s", path, Ending)
	}
	text, err := l.Text()
	if err != nil {
		return fmt.Errorf("clf: %s is not written: %w", path, err)
	}
	return study.WriteBeside(path, func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	})
}
