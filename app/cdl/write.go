package cdl

import (
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"
)

// namespace is the one that files in use carry; a lone correction has none.
const namespace = "urn:ASC:CDL:v1.01"

// A printer writes indented elements.
type printer struct {
	strings.Builder
	indent string
}

// textOf returns the file of a name's ending, in lower case.
func textOf(ending string, all []Correction) (*printer, error) {
	if err := checkCDLs(ending, all); err != nil {
		return nil, err
	}
	p := new(printer)
	p.WriteString(xml.Header)
	switch ending {
	case ".cc":
		p.correction(all[0])
	case ".ccc":
		p.element(cdlCollection, "xmlns", namespace, func() {
			for _, c := range all {
				p.correction(c)
			}
		})
	default:
		p.element(cdlList, "xmlns", namespace, func() {
			for _, c := range all {
				p.element(cdlDecision, "", "", func() { p.correction(c) })
			}
		})
	}
	return p, nil
}

// checkCDLs demands corrections that a file of the ending can hold.
func checkCDLs(ending string, all []Correction) error {
	switch {
	case ending != ".cc" && ending != ".ccc" && ending != ".cdl":
		return fmt.Errorf("its name ends in %q, want %s", ending, strings.Join(endings, ", "))
	case len(all) == 0:
		return fmt.Errorf("there are no corrections, want one or more")
	case ending == ".cc" && len(all) > 1:
		return fmt.Errorf("a .cc holds one correction, there are %d: name it .ccc or .cdl", len(all))
	}
	for _, c := range all {
		if err := c.CDL.Check(); err != nil {
			return err
		}
		for _, text := range []string{c.ID, c.Note} {
			if !isXMLText(text) {
				return fmt.Errorf("text %q cannot stand in XML", text)
			}
		}
	}
	return nil
}

// isXMLText reports whether XML 1.0 can carry every character of s.
func isXMLText(s string) bool {
	return utf8.ValidString(s) && !strings.ContainsFunc(s, func(r rune) bool {
		return r < ' ' && r != '\t' && r != '\n' && r != '\r' || r == 0xfffe || r == 0xffff
	})
}

func (p *printer) to(w io.Writer) error {
	_, err := io.WriteString(w, p.String())
	return err
}

// element writes one with other elements in it, and at most one attribute.
func (p *printer) element(name, attribute, value string, content func()) {
	p.WriteString(p.indent + "<" + name)
	if attribute != "" {
		p.WriteString(" " + attribute + `="`)
		p.escaped(value)
		p.WriteString(`"`)
	}
	p.WriteString(">\n")
	outer := p.indent
	p.indent += "  "
	content()
	p.indent = outer
	p.WriteString(p.indent + "</" + name + ">\n")
}

// leaf writes an element of text.
func (p *printer) leaf(name, text string) {
	p.WriteString(p.indent + "<" + name + ">")
	p.escaped(text)
	p.WriteString("</" + name + ">\n")
}

func (p *printer) escaped(text string) {
	_ = xml.EscapeText(p, []byte(text)) // a Builder never fails
}

func (p *printer) correction(c Correction) {
	attribute := "id"
	if c.ID == "" {
		attribute = ""
	}
	p.element(cdlCorrection, attribute, c.ID, func() {
		if c.Note != "" {
			for line := range strings.Lines(c.Note) {
				p.leaf("Description", strings.TrimSpace(line))
			}
		}
		p.element(cdlSOP, "", "", func() {
			p.leaf("Slope", threeNumbers(c.CDL.Slope))
			p.leaf("Offset", threeNumbers(c.CDL.Offset))
			p.leaf("Power", threeNumbers(c.CDL.Power))
		})
		p.element(cdlSat, "", "", func() { p.leaf("Saturation", decimal(c.CDL.Saturation)) })
	})
}

func threeNumbers(v [3]float64) string {
	return decimal(v[0]) + " " + decimal(v[1]) + " " + decimal(v[2])
}

// decimal writes v with as few digits as give it back.
func decimal(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
