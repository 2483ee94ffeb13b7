// Package cdl reads and writes grades as files of the ASC CDL (American Society of
// Cinematographers, release 1.2, 2009): .cc, .ccc and .cdl. What the numbers do is
// colour.CDL's.
package cdl

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"halocline/app/regular"
	"halocline/app/study"
	"halocline/colour"
)

// A Correction is one grade of a file of the ASC CDL's XML (American Society of
// Cinematographers, release 1.2, 2009): a .cc holds one, a collection (.ccc) or a
// decision list (.cdl) any number.
type Correction struct {
	ID   string // as in the file; may be empty, and need not be the only one
	Note string // its descriptions, one a line
	CDL  colour.CDL
}

// maxFile is the largest file of corrections that is read: 16 MiB, some
// 30,000 corrections.
const maxFile = 16 << 20

// endings are what names of such files end in, in either case.
var endings = []string{".cc", ".ccc", ".cdl"}

// Read reads a file of corrections, whatever its name ends in. What stands in
// it beside corrections is passed over. Errors name the file, the line, what was
// found and what was wanted.
func Read(path string) ([]Correction, error) {
	f, _, err := regular.Open(path)
	var other *regular.Error
	if errors.As(err, &other) {
		other.Want = "a file of ASC CDL XML"
	}
	if err != nil {
		return nil, fmt.Errorf("cdl: %w", err)
	}
	defer f.Close()
	all, err := read(f)
	var reading *fs.PathError
	if errors.As(err, &reading) {
		err = reading.Err // without the path, which stands before it
	}
	if err != nil {
		return nil, fmt.Errorf("cdl: %s: %w", path, err)
	}
	return all, nil
}

// Write writes corrections in the form that the name's ending asks for: .cc
// for one, .ccc or .cdl for one or more. Read gives back equal ones.
func Write(path string, all []Correction) error {
	text, err := textOf(strings.ToLower(filepath.Ext(path)), all)
	if err != nil {
		return fmt.Errorf("cdl: %s is not written: %w", path, err)
	}
	return study.WriteBeside(path, text.to)
}

// Choose returns the correction with an id or, where none has it, the one of
// that number, counted from 1; "" means the only one. path is for the message.
func Choose(path string, all []Correction, which string) (Correction, error) {
	at := slices.IndexFunc(all, func(c Correction) bool { return c.ID == which && which != "" })
	if n, err := strconv.Atoi(which); at < 0 && err == nil {
		at = n - 1
	}
	if which == "" && len(all) == 1 {
		at = 0
	}
	switch {
	case at >= 0 && at < len(all):
		return all[at], nil
	case which == "":
		return Correction{}, fmt.Errorf("cdl: %s holds %d corrections, want the id or the number of one: %s", path, len(all), namesOf(all))
	}
	return Correction{}, fmt.Errorf("cdl: %s holds no correction %q, want one of %s", path, which, namesOf(all))
}

// mostNames is how many corrections a message lists.
const mostNames = 20

// namesOf lists corrections by number and id.
func namesOf(all []Correction) string {
	var names []string
	for i, c := range all[:min(len(all), mostNames)] {
		name := strconv.Itoa(i + 1)
		if c.ID != "" {
			name += fmt.Sprintf(" (%q)", c.ID)
		}
		names = append(names, name)
	}
	if more := len(all) - len(names); more > 0 {
		names = append(names, fmt.Sprintf("and %d more", more))
	}
	return strings.Join(names, ", ")
}
