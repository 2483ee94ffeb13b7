package clf

import (
	"io"
	"math"
	"strconv"
	"strings"
)

// Parse reads a list. It is strict: what the specification does not know is an error,
// but below Info. Errors name the line.
func Parse(r io.Reader) (*List, error) {
	root, err := parseTree(r)
	if err != nil {
		return nil, err
	}
	if root.name != "ProcessList" {
		return nil, root.fail("is %q, want ProcessList", root.name)
	}
	return parseList(root)
}

func parseList(root *element) (*List, error) {
	if err := root.only("id", "name", "compCLFversion", "inverseOf"); err != nil {
		return nil, err
	}
	l := new(List)
	var there bool
	if l.ID, there = root.attr("id"); !there {
		return nil, root.fail("ProcessList has no id")
	}
	l.Name, _ = root.attr("name")
	if err := checkVersion(root); err != nil {
		return nil, err
	}
	lastDepth := ""
	for _, e := range root.children {
		switch e.name {
		case "Info":
		case "Description":
			l.Notes = append(l.Notes, strings.TrimSpace(e.text))
		case "InputDescriptor":
			l.Input = strings.TrimSpace(e.text)
		case "OutputDescriptor":
			l.Output = strings.TrimSpace(e.text)
		default:
			s, err := parseStep(e)
			if err != nil {
				return nil, err
			}
			if in, _ := e.attr("inBitDepth"); lastDepth != "" && in != lastDepth {
				return nil, e.fail("inBitDepth is %q, want %q, the outBitDepth of the node before", in, lastDepth)
			}
			lastDepth, _ = e.attr("outBitDepth")
			l.Steps = append(l.Steps, s)
		}
	}
	if len(l.Steps) == 0 {
		return nil, root.fail("ProcessList holds no node")
	}
	return l, nil
}

func checkVersion(root *element) error {
	text, there := root.attr("compCLFversion")
	if !there {
		return root.fail("ProcessList has no compCLFversion")
	}
	newest, _ := strconv.ParseFloat(version, 64)
	if v, err := strconv.ParseFloat(text, 64); err != nil || !(v > 0 && v <= newest) {
		return root.fail("compCLFversion is %q, want %s or less", text, version)
	}
	return nil
}

// A nodeReader reads one kind of node, whose numbers are scaled by the full codes of
// what goes in and what comes out.
type nodeReader struct {
	attrs, children []string // beside those of all nodes
	read            func(e *element, in, out float64) (Node, error)
}

var nodeReaders = map[string]nodeReader{
	"Matrix":   {nil, []string{"Array"}, parseMatrix},
	"Range":    {[]string{"style"}, []string{"minInValue", "maxInValue", "minOutValue", "maxOutValue"}, parseRange},
	"LUT1D":    {[]string{"interpolation", "halfDomain", "rawHalfs"}, []string{"Array"}, parseLUT1D},
	"LUT3D":    {[]string{"interpolation"}, []string{"Array"}, parseLUT3D},
	"Exponent": {[]string{"style"}, []string{"ExponentParams"}, parseExponent},
	"Log":      {[]string{"style"}, []string{"LogParams"}, parseLog},
	"ASC_CDL":  {[]string{"style"}, []string{"SOPNode", "SatNode"}, parseCDL},
}

func parseStep(e *element) (s Step, err error) {
	reader, known := nodeReaders[e.name]
	if !known {
		return s, e.fail("%q is no node of version %s", e.name, version)
	}
	if err := e.only(append([]string{"id", "name", "inBitDepth", "outBitDepth"}, reader.attrs...)...); err != nil {
		return s, err
	}
	if err := e.onlyChildren(append([]string{"Description"}, reader.children...)...); err != nil {
		return s, err
	}
	in, err := e.depth("inBitDepth")
	if err != nil {
		return s, err
	}
	out, err := e.depth("outBitDepth")
	if err != nil {
		return s, err
	}
	var notes []string
	for _, c := range e.children {
		if c.name == "Description" {
			notes = append(notes, strings.TrimSpace(c.text))
		}
	}
	s.Note = strings.Join(notes, "\n")
	s.Node, err = reader.read(e, in, out)
	return s, err
}

// array returns a node's Array and its dimensions.
func (e *element) array() (a *element, dim []int, err error) {
	if a, err = e.needed("Array"); err != nil {
		return nil, nil, err
	}
	if err := a.only("dim"); err != nil {
		return nil, nil, err
	}
	text, _ := a.attr("dim")
	for word := range strings.FieldsSeq(text) {
		n, err := strconv.Atoi(word)
		if err != nil || n < 1 || n > longest1D {
			return nil, nil, a.fail("dim is %q, want whole numbers from 1 to %d", text, longest1D)
		}
		dim = append(dim, n)
	}
	return a, dim, nil
}

func parseMatrix(e *element, in, out float64) (Node, error) {
	a, dim, err := e.array()
	if err != nil {
		return nil, err
	}
	// Before version 3 a third number stood there, which may be ignored.
	if len(dim) < 2 || len(dim) > 3 || dim[0] != 3 || dim[1] != 3 && dim[1] != 4 {
		return nil, a.fail("dim of a Matrix is %v, want 3 3 or 3 4", dim)
	}
	values, err := a.numbers(3 * dim[1])
	if err != nil {
		return nil, err
	}
	var m Matrix
	for i := range m.Rows {
		row := values[i*dim[1]:]
		for k := range m.Rows[i] {
			m.Rows[i][k] = row[k] * in / out
		}
		if dim[1] == 4 {
			m.Offset[i] = row[3] / out
		}
	}
	return m, nil
}

func parseRange(e *element, in, out float64) (Node, error) {
	style, err := e.choice("style", "Clamp", []string{"Clamp", "noClamp"})
	if err != nil {
		return nil, err
	}
	r := Range{NoClamp: style == "noClamp"}
	if r.Min, err = e.end("minInValue", "minOutValue", in, out); err != nil {
		return nil, err
	}
	if r.Max, err = e.end("maxInValue", "maxOutValue", in, out); err != nil {
		return nil, err
	}
	switch {
	case r.Min == nil && r.Max == nil:
		return nil, e.fail("Range has no values, want a least, a largest or both")
	case r.Min == nil || r.Max == nil:
		if r.NoClamp {
			return nil, e.fail("Range has one end and style noClamp, want two ends or a clamp")
		}
	case r.Max.In <= r.Min.In:
		return nil, e.fail("maxInValue is not more than minInValue")
	case r.Max.Out < r.Min.Out:
		return nil, e.fail("maxOutValue is less than minOutValue")
	}
	if r.Min == nil || r.Max == nil {
		return r, r.checkOneEnd(e)
	}
	return r, nil
}

// checkOneEnd demands that a range with one end scales nothing.
func (r Range) checkOneEnd(e *element) error {
	end := r.Min
	if end == nil {
		end = r.Max
	}
	if math.Abs(end.In-end.Out) > 1e-6*max(1, math.Abs(end.In)) {
		return e.fail("Range has one end, whose values mean %v in and %v out, want the same", end.In, end.Out)
	}
	return nil
}

// end reads one end of a range, nil where it is not there.
func (e *element) end(inName, outName string, in, out float64) (*End, error) {
	var values [2]*float64
	for i, name := range []string{inName, outName} {
		c, err := e.one(name)
		if err != nil {
			return nil, err
		}
		if c != nil {
			v, err := c.numbers(1)
			if err != nil {
				return nil, err
			}
			values[i] = &v[0]
		}
	}
	switch {
	case values[0] == nil && values[1] == nil:
		return nil, nil
	case values[0] == nil || values[1] == nil:
		return nil, e.fail("Range has one of %s and %s, want both or none", inName, outName)
	}
	return &End{*values[0] / in, *values[1] / out}, nil
}
