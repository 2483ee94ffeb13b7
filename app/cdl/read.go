package cdl

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"halocline/colour"
)

// The elements, by their local names: whatever their namespace, which differs
// between releases and is often left out. The last three are names that other
// programs write.
const (
	cdlList       = "ColorDecisionList"
	cdlDecision   = "ColorDecision"
	cdlCollection = "ColorCorrectionCollection"
	cdlCorrection = "ColorCorrection"
	cdlSOP        = "SOPNode"
	cdlSat        = "SatNode"
	cdlOtherSOP   = "ASC_SOP"
	cdlOtherSat   = "ASC_SAT"
	cdlThirdSat   = "SATNode"
)

// A cdlReader walks through a file's elements.
type cdlReader struct {
	*xml.Decoder
	found []Correction
}

// A cdlError says where a file is wrong.
type cdlError struct {
	line int
	what string
}

func (e *cdlError) Error() string { return fmt.Sprintf("line %d: %s", e.line, e.what) }

func (d *cdlReader) fail(format string, args ...any) error {
	line, _ := d.InputPos()
	return &cdlError{line, fmt.Sprintf(format, args...)}
}

func read(r io.Reader) ([]Correction, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	switch {
	case err != nil:
		return nil, err
	case len(data) > maxFile:
		return nil, fmt.Errorf("file is larger than %d MiB", maxFile>>20)
	case len(bytes.TrimSpace(data)) == 0:
		return nil, errors.New("the file is empty")
	}
	d := &cdlReader{Decoder: xml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(data, []byte("\uFEFF"))))}
	d.CharsetReader = func(charset string, _ io.Reader) (io.Reader, error) {
		return nil, fmt.Errorf("text is in %q, want UTF-8", charset)
	}
	if err := d.document(); err != nil {
		return nil, d.plain(err)
	}
	if len(d.found) == 0 {
		return nil, fmt.Errorf("holds no %s", cdlCorrection)
	}
	return d.found, nil
}

// plain puts an error of the XML itself in this file's words.
func (d *cdlReader) plain(err error) error {
	var syntax *xml.SyntaxError
	var known *cdlError
	switch {
	case errors.As(err, &known):
		return err
	case errors.As(err, &syntax):
		return &cdlError{syntax.Line, "is not sound XML: " + syntax.Msg}
	}
	return d.fail("%s", strings.TrimPrefix(err.Error(), "xml: "))
}

// document reads all of the file: its one root, and that nothing is broken behind.
func (d *cdlReader) document() error {
	root := false
	for {
		t, err := d.Token()
		if err == io.EOF {
			if !root {
				return d.fail("has no element, want %s, %s or %s", cdlCorrection, cdlCollection, cdlList)
			}
			return nil
		}
		if err != nil {
			return err
		}
		start, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		if root {
			return d.fail("has a second root element, %q, want one", start.Name.Local)
		}
		root = true
		switch start.Name.Local {
		case cdlCorrection, cdlCollection, cdlList:
			err = d.holder(start)
		default:
			err = d.fail("is %q, want %s, %s or %s", start.Name.Local, cdlCorrection, cdlCollection, cdlList)
		}
		if err != nil {
			return err
		}
	}
}

// holder reads an element that is a correction or may hold some.
func (d *cdlReader) holder(e xml.StartElement) error {
	if e.Name.Local == cdlCorrection {
		return d.correction(e)
	}
	return d.children(func(child xml.StartElement) error {
		switch child.Name.Local {
		case cdlCorrection:
			return d.correction(child)
		case cdlDecision, cdlCollection:
			if e.Name.Local == cdlList {
				return d.holder(child)
			}
		}
		return d.Skip()
	})
}

// children calls each for every element up to the end of the one that is open.
// each reads to its end.
func (d *cdlReader) children(each func(xml.StartElement) error) error {
	for {
		t, err := d.Token()
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case xml.StartElement:
			if err := each(t); err != nil {
				return err
			}
		case xml.EndElement:
			return nil
		}
	}
}

func (d *cdlReader) correction(e xml.StartElement) error {
	c := Correction{CDL: colour.NeutralCDL()}
	for _, a := range e.Attr {
		if a.Name.Local == "id" {
			c.ID = a.Value
		}
	}
	var notes []string
	seen := map[string]bool{}
	err := d.children(func(child xml.StartElement) error {
		switch child.Name.Local {
		case "Description":
			return d.note(&notes)
		case cdlSOP, cdlOtherSOP:
			return d.once(seen, cdlSOP, func() error { return d.sop(&c.CDL, &notes) })
		case cdlSat, cdlOtherSat, cdlThirdSat:
			return d.once(seen, cdlSat, func() error { return d.saturation(&c.CDL, &notes) })
		}
		return d.Skip()
	})
	if err != nil {
		return err
	}
	c.Note = strings.Join(notes, "\n")
	d.found = append(d.found, c)
	return nil
}

// once reads an element that may stand once alone.
func (d *cdlReader) once(seen map[string]bool, name string, read func() error) error {
	if seen[name] {
		return d.fail("%s stands twice in one %s", name, cdlCorrection)
	}
	seen[name] = true
	return read()
}

func (d *cdlReader) sop(c *colour.CDL, notes *[]string) error {
	seen := map[string]bool{}
	return d.children(func(child xml.StartElement) error {
		name := child.Name.Local
		to := map[string]*[3]float64{"Slope": &c.Slope, "Offset": &c.Offset, "Power": &c.Power}[name]
		switch {
		case name == "Description":
			return d.note(notes)
		case to == nil:
			return d.Skip()
		}
		return d.once(seen, name, func() error { return d.numbers(name, to[:]) })
	})
}

func (d *cdlReader) saturation(c *colour.CDL, notes *[]string) error {
	seen := map[string]bool{}
	return d.children(func(child xml.StartElement) error {
		switch child.Name.Local {
		case "Description":
			return d.note(notes)
		case "Saturation":
			return d.once(seen, "Saturation", func() error {
				var v [1]float64
				err := d.numbers("Saturation", v[:])
				c.Saturation = v[0]
				return err
			})
		}
		return d.Skip()
	})
}

// text returns the text of the element that is open, up to its end.
func (d *cdlReader) text() (string, error) {
	var b strings.Builder
	for {
		t, err := d.Token()
		if err != nil {
			return "", err
		}
		switch t := t.(type) {
		case xml.CharData:
			b.Write(t)
		case xml.StartElement:
			if err := d.Skip(); err != nil {
				return "", err
			}
		case xml.EndElement:
			return b.String(), nil
		}
	}
}

func (d *cdlReader) note(notes *[]string) error {
	text, err := d.text()
	if text = strings.TrimSpace(text); text != "" {
		*notes = append(*notes, text)
	}
	return err
}

// numbers reads an element that holds as many numbers as to has room for, within
// what the release allows.
func (d *cdlReader) numbers(name string, to []float64) error {
	text, err := d.text()
	if err != nil {
		return err
	}
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" \t\r\n", r) })
	if len(words) != len(to) {
		return d.fail("%s is %s, want %s", name, quoted(text), []string{1: "one number", 3: "three numbers"}[len(to)])
	}
	want, meets := limitOf(name)
	for i, word := range words {
		v, err := strconv.ParseFloat(word, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.ContainsAny(word, "xXpP_") {
			return d.fail("%s is %s, want a number", name, quoted(word))
		}
		if !meets(v) {
			return d.fail("%s is %s, want %s", name, quoted(word), want)
		}
		to[i] = v + 0 // -0 becomes 0, as in a study's file
	}
	return nil
}

// limitOf is what the release allows an element's numbers to be.
func limitOf(name string) (want string, meets func(float64) bool) {
	switch {
	case name == "Power":
		return "more than 0", func(v float64) bool { return v > 0 }
	case slices.Contains([]string{"Slope", "Saturation"}, name):
		return "0 or more", func(v float64) bool { return v >= 0 }
	}
	return "any number", func(float64) bool { return true }
}

// quoted is what stands in a file, in few words.
func quoted(text string) string {
	if r := []rune(text); len(r) > 60 {
		return fmt.Sprintf("text %q...", string(r[:60]))
	}
	return fmt.Sprintf("text %q", text)
}
