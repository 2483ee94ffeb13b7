package study

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

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

// maxCDLFile is the largest file of corrections that is read: 16 MiB, some
// 30,000 corrections.
const maxCDLFile = 16 << 20

// cdlEndings are what names of such files end in, in either case.
var cdlEndings = []string{".cc", ".ccc", ".cdl"}

// ReadCDL reads a file of corrections, whatever its name ends in. What stands in
// it beside corrections is passed over. Errors name the file, the line, what was
// found and what was wanted.
func ReadCDL(path string) ([]Correction, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("study: %w", err)
	}
	defer f.Close()
	all, err := readCDL(f)
	if err != nil {
		return nil, fmt.Errorf("study: %s: %w", path, err)
	}
	return all, nil
}

// WriteCDL writes corrections in the form that the name's ending asks for: .cc
// for one, .ccc or .cdl for one or more. ReadCDL gives back equal ones.
func WriteCDL(path string, all []Correction) error {
	text, err := cdlText(strings.ToLower(filepath.Ext(path)), all)
	if err != nil {
		return fmt.Errorf("study: %s is not written: %w", path, err)
	}
	return WriteBeside(path, text.to)
}

// ChooseCDL returns the correction with an id or, where none has it, the one of
// that number, counted from 1; "" means the only one. path is for the message.
func ChooseCDL(path string, all []Correction, which string) (Correction, error) {
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
		return Correction{}, fmt.Errorf("study: %s holds %d corrections, want the id or the number of one: %s", path, len(all), cdlNames(all))
	}
	return Correction{}, fmt.Errorf("study: %s holds no correction %q, want one of %s", path, which, cdlNames(all))
}

// mostNames is how many corrections a message lists.
const mostNames = 20

// cdlNames lists corrections by number and id.
func cdlNames(all []Correction) string {
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
