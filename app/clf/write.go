package clf

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// A printer writes indented elements.
type printer struct {
	bytes.Buffer
	indent string
}

// attrs are names of attributes, each before its value.
type attrs []string

// Text returns the list as a file's text. Numbers of tables have the digits of 32 bits,
// all others those of 64.
func (l *List) Text() ([]byte, error) {
	if len(l.Steps) == 0 || l.ID == "" {
		return nil, errors.New("a list has no node or no id")
	}
	p := new(printer)
	p.WriteString(xml.Header)
	given := attrs{"id", l.ID, "compCLFversion", version}
	if l.Name != "" {
		given = append(given, "name", l.Name)
	}
	err := p.element("ProcessList", given, func() error {
		for _, note := range l.Notes {
			p.leaf("Description", note)
		}
		p.optional("InputDescriptor", l.Input)
		p.optional("OutputDescriptor", l.Output)
		for _, s := range l.Steps {
			if err := p.step(s); err != nil {
				return err
			}
		}
		return nil
	})
	return p.Bytes(), err
}

// step writes a node.
func (p *printer) step(s Step) error {
	node := func(name string, more attrs, content func()) error {
		given := append(attrs{"inBitDepth", "32f", "outBitDepth", "32f"}, more...)
		return p.element(name, given, func() error {
			p.optional("Description", s.Note)
			content()
			return nil
		})
	}
	switch n := s.Node.(type) {
	case Matrix:
		return node("Matrix", nil, func() { p.matrix(n) })
	case Range:
		style := "Clamp"
		if n.NoClamp {
			style = "noClamp"
		}
		return node("Range", attrs{"style", style}, func() { p.ends(n) })
	case LUT1D:
		var more attrs
		if n.HalfDomain {
			more = attrs{"halfDomain", "true"}
		}
		return node("LUT1D", more, func() { p.table(n) })
	case Exponent:
		return node("Exponent", attrs{"style", n.Style}, func() { p.exponent(n) })
	case Log:
		return node("Log", attrs{"style", n.Style}, func() { p.log(n) })
	}
	return fmt.Errorf("a node is a %T, want a Matrix, Range, LUT1D, Exponent or Log", s.Node)
}

func (p *printer) matrix(m Matrix) {
	offset := m.Offset != [3]float64{}
	dim := "3 3"
	if offset {
		dim = "3 4"
	}
	p.array(dim, len(m.Rows), func(i int) []float64 {
		row := m.Rows[i][:]
		if offset {
			row = append(row[:3:3], m.Offset[i])
		}
		return row
	}, 64)
}

func (p *printer) table(t LUT1D) {
	n := len(t.Values) / t.Channels
	p.array(fmt.Sprintf("%d %d", n, t.Channels), n, func(i int) []float64 {
		return t.Values[i*t.Channels : (i+1)*t.Channels]
	}, 32)
}

// array writes rows of numbers.
func (p *printer) array(dim string, rows int, row func(int) []float64, bits int) {
	fmt.Fprintf(p, "%s<Array dim=%q>\n", p.indent, dim)
	for i := range rows {
		p.WriteString(p.indent + "  ")
		for k, v := range row(i) {
			if k > 0 {
				p.WriteByte(' ')
			}
			p.Write(strconv.AppendFloat(p.AvailableBuffer(), v, 'g', -1, bits))
		}
		p.WriteByte('\n')
	}
	p.WriteString(p.indent + "</Array>\n")
}

func (p *printer) ends(r Range) {
	if r.Min != nil {
		p.leaf("minInValue", decimal(r.Min.In))
	}
	if r.Max != nil {
		p.leaf("maxInValue", decimal(r.Max.In))
	}
	if r.Min != nil {
		p.leaf("minOutValue", decimal(r.Min.Out))
	}
	if r.Max != nil {
		p.leaf("maxOutValue", decimal(r.Max.Out))
	}
}

func (p *printer) exponent(e Exponent) {
	perChannel(p, "ExponentParams", e.Params, func(x ExponentParams) attrs {
		a := attrs{"exponent", decimal(x.Exponent)}
		if isMonCurve(e.Style) {
			a = append(a, "offset", decimal(x.Offset))
		}
		return a
	})
}

func (p *printer) log(l Log) {
	if !hasLogParams(l.Style) {
		return
	}
	perChannel(p, "LogParams", l.Params, func(x LogParams) attrs {
		a := attrs{
			"base", decimal(x.Base), "logSideSlope", decimal(x.LogSlope), "logSideOffset", decimal(x.LogOffset),
			"linSideSlope", decimal(x.LinSlope), "linSideOffset", decimal(x.LinOffset),
		}
		if isCamera(l.Style) {
			a = append(a, "linSideBreak", decimal(x.Break))
		}
		if x.Straight != 0 {
			a = append(a, "linearSlope", decimal(x.Straight))
		}
		return a
	})
}

// perChannel writes an element of numbers, or one a channel where they differ.
func perChannel[T comparable](p *printer, name string, params [3]T, say func(T) attrs) {
	if params[0] == params[1] && params[1] == params[2] {
		p.empty(name, say(params[0]))
		return
	}
	for c, channel := range []string{"R", "G", "B"} {
		p.empty(name, append(say(params[c]), "channel", channel))
	}
}

// element writes one with other elements in it.
func (p *printer) element(name string, given attrs, content func() error) error {
	p.open(name, given, ">\n")
	outer := p.indent
	p.indent += "  "
	err := content()
	p.indent = outer
	p.WriteString(p.indent + "</" + name + ">\n")
	return err
}

// empty writes an element of attributes alone.
func (p *printer) empty(name string, given attrs) { p.open(name, given, "/>\n") }

func (p *printer) open(name string, given attrs, end string) {
	p.WriteString(p.indent + "<" + name)
	for i := 0; i < len(given); i += 2 {
		p.WriteString(" " + given[i] + `="`)
		p.escaped(given[i+1])
		p.WriteByte('"')
	}
	p.WriteString(end)
}

// leaf writes an element of text.
func (p *printer) leaf(name, text string) {
	p.WriteString(p.indent + "<" + name + ">")
	p.escaped(strings.TrimSpace(text))
	p.WriteString("</" + name + ">\n")
}

// optional is leaf for text that may be missing.
func (p *printer) optional(name, text string) {
	if text != "" {
		p.leaf(name, text)
	}
}

func (p *printer) escaped(text string) {
	_ = xml.EscapeText(p, []byte(text)) // a Buffer never fails
}

// decimal writes v with as few digits as give it back.
func decimal(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
