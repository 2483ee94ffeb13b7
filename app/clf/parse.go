package clf

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"halocline/colour"
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

func parseLUT1D(e *element, _, out float64) (Node, error) {
	if _, err := e.choice("interpolation", "linear", []string{"linear"}); err != nil {
		return nil, err
	}
	halfDomain, err := e.isTrue("halfDomain")
	if err != nil {
		return nil, err
	}
	rawHalfs, err := e.isTrue("rawHalfs")
	if err != nil {
		return nil, err
	}
	a, dim, err := e.array()
	switch {
	case err != nil:
		return nil, err
	case len(dim) != 2 || dim[1] != 1 && dim[1] != 3:
		return nil, a.fail("dim of a LUT1D is %v, want a length and 1 or 3", dim)
	case halfDomain && dim[0] != longest1D:
		return nil, a.fail("a LUT1D with halfDomain has %d entries, want %d", dim[0], longest1D)
	case dim[0] < 2:
		return nil, a.fail("a LUT1D has %d entry, want 2 or more", dim[0])
	}
	read := finite
	switch {
	case rawHalfs:
		read = rawHalf
	case halfDomain:
		read = anyNumber
	}
	t := LUT1D{HalfDomain: halfDomain, Channels: dim[1]}
	if t.Values, err = eachNumber(a, dim[0]*dim[1], read); err != nil {
		return nil, err
	}
	normalise(t.Values, out)
	return t, nil
}

// normalise divides a table's values by the full code, and keeps the 32 bits of them that
// work is done with.
func normalise(values []float64, full float64) {
	for i, v := range values {
		values[i] = float64(float32(v / full))
	}
}

func parseLUT3D(e *element, _, out float64) (Node, error) {
	style, err := e.choice("interpolation", "trilinear", []string{"trilinear", "tetrahedral"})
	if err != nil {
		return nil, err
	}
	a, dim, err := e.array()
	switch {
	case err != nil:
		return nil, err
	case len(dim) != 4 || dim[0] != dim[1] || dim[1] != dim[2] || dim[3] != 3:
		return nil, a.fail("dim of a LUT3D is %v, want three times the same and 3", dim)
	case dim[0] < 2 || dim[0] > longest3D:
		return nil, a.fail("a LUT3D has sides of %d, want 2 to %d", dim[0], longest3D)
	}
	t := LUT3D{Side: dim[0], Tetrahedral: style == "tetrahedral"}
	if t.Values, err = a.numbers(dim[0] * dim[0] * dim[0] * 3); err != nil {
		return nil, err
	}
	normalise(t.Values, out)
	return t, nil
}

// channels calls read for each of a node's elements of numbers, with the channels that
// it is for: all, or the one that it names.
func (e *element) channels(name string, read func(p *element, channels []int) error) error {
	var set [3]bool
	for _, p := range e.children {
		if p.name != name {
			continue
		}
		of := []int{0, 1, 2}
		if text, there := p.attr("channel"); there {
			c := slices.Index([]string{"R", "G", "B"}, text)
			if c < 0 {
				return p.fail("channel is %q, want R, G or B", text)
			}
			of = []int{c}
		}
		for _, c := range of {
			if set[c] {
				return p.fail("%s stands twice for one channel", name)
			}
			set[c] = true
		}
		if err := p.onlyChildren("no element"); err != nil {
			return err
		}
		if err := read(p, of); err != nil {
			return err
		}
	}
	if set == [3]bool{} {
		return e.fail("%s has no %s", e.name, name)
	}
	return nil
}

func parseExponent(e *element, _, _ float64) (Node, error) {
	style, err := e.choice("style", "", exponentStyles)
	if err != nil {
		return nil, err
	}
	x := sameExponent(style, ExponentParams{Exponent: 1}) // a channel that is not named stays
	err = e.channels("ExponentParams", func(p *element, of []int) error {
		read, err := parseExponentParams(p, style)
		for _, c := range of {
			x.Params[c] = read
		}
		return err
	})
	return x, err
}

func parseExponentParams(p *element, style string) (to ExponentParams, err error) {
	if err := p.only("exponent", "offset", "channel"); err != nil {
		return to, err
	}
	there, err := p.numberAttr("exponent", &to.Exponent)
	if err == nil && !there {
		err = p.fail("ExponentParams has no exponent")
	}
	if err != nil {
		return to, err
	}
	there, err = p.numberAttr("offset", &to.Offset)
	switch {
	case err != nil:
		return to, err
	case !isMonCurve(style) && there:
		return to, p.fail("ExponentParams has an offset, want none for style %s", style)
	case isMonCurve(style) && !there:
		return to, p.fail("ExponentParams has no offset, want one for style %s", style)
	case isMonCurve(style) && (to.Exponent < 1 || to.Exponent > 10):
		return to, p.fail("exponent is %v, want 1 to 10", to.Exponent)
	case isMonCurve(style) && (to.Offset < 0 || to.Offset > 0.9):
		return to, p.fail("offset is %v, want 0 to 0.9", to.Offset)
	case to.Exponent <= 0:
		return to, p.fail("exponent is %v, want more than 0", to.Exponent)
	}
	return to, nil
}

func parseLog(e *element, _, _ float64) (Node, error) {
	style, err := e.choice("style", "", logStyles)
	if err != nil {
		return nil, err
	}
	l := sameLog(style, plainLog)
	if !hasLogParams(style) {
		return l, e.onlyChildren("Description")
	}
	base := 0.
	err = e.channels("LogParams", func(p *element, of []int) error {
		read, err := parseLogParams(p, style)
		if err != nil {
			return err
		}
		if base != 0 && base != read.Base {
			return p.fail("base is %v, want %v as for the other channels", read.Base, base)
		}
		base = read.Base
		for _, c := range of {
			l.Params[c] = read
		}
		return nil
	})
	return l, err
}

func parseLogParams(p *element, style string) (LogParams, error) {
	to := plainLog
	if err := p.only("base", "logSideSlope", "logSideOffset", "linSideSlope", "linSideOffset", "linSideBreak", "linearSlope", "channel"); err != nil {
		return to, err
	}
	for name, number := range map[string]*float64{"base": &to.Base, "logSideSlope": &to.LogSlope, "logSideOffset": &to.LogOffset, "linSideSlope": &to.LinSlope, "linSideOffset": &to.LinOffset} {
		if _, err := p.numberAttr(name, number); err != nil {
			return to, err
		}
	}
	hasBreak, err := p.numberAttr("linSideBreak", &to.Break)
	if err != nil {
		return to, err
	}
	hasStraight, err := p.numberAttr("linearSlope", &to.Straight)
	switch {
	case err != nil:
		return to, err
	case isCamera(style) && !hasBreak:
		return to, p.fail("LogParams has no linSideBreak, want one for style %s", style)
	case !isCamera(style) && (hasBreak || hasStraight):
		return to, p.fail("LogParams has a linSideBreak or a linearSlope, want none for style %s", style)
	case !(to.Base > 0) || to.Base == 1:
		return to, p.fail("base is %v, want more than 0, and not 1", to.Base)
	case to.LogSlope == 0 || to.LinSlope == 0 || hasStraight && to.Straight == 0:
		return to, p.fail("a slope is 0, want another number")
	case isCamera(style) && to.LinSlope*to.Break+to.LinOffset <= 0:
		return to, p.fail("linSideBreak is %v, where the logarithm has no value", to.Break)
	}
	return to, nil
}

func parseCDL(e *element, _, _ float64) (Node, error) {
	style, err := e.choice("style", cdlFwd, cdlStyles)
	if err != nil {
		return nil, err
	}
	d := CDL{style, colour.NeutralCDL()}
	sop, err := e.one("SOPNode")
	if err != nil {
		return nil, err
	}
	if sop != nil {
		for name, to := range map[string]*[3]float64{"Slope": &d.Grade.Slope, "Offset": &d.Grade.Offset, "Power": &d.Grade.Power} {
			if err := sop.fill(name, to[:]); err != nil {
				return nil, err
			}
		}
	}
	sat, err := e.one("SatNode")
	if err != nil {
		return nil, err
	}
	if sat != nil {
		var v [1]float64
		if err := sat.fill("Saturation", v[:]); err != nil {
			return nil, err
		}
		d.Grade.Saturation = v[0]
	}
	if err := d.Grade.Check(); err != nil {
		return nil, e.fail("%s", strings.ReplaceAll(strings.ReplaceAll(err.Error(), "colour: cdl: ", ""), "\n", ", "))
	}
	if err := d.checkInverse(); err != nil {
		return nil, e.fail("%v", err)
	}
	return d, nil
}

// fill reads the child of a name, which holds as many numbers as to has room for.
func (e *element) fill(name string, to []float64) error {
	c, err := e.needed(name)
	if err != nil {
		return err
	}
	v, err := c.numbers(len(to))
	copy(to, v)
	return err
}

// checkInverse demands that a style that goes backwards can.
func (d CDL) checkInverse() error {
	if d.Style != cdlRev && d.Style != cdlRevNoClamp {
		return nil
	}
	if slices.Contains(d.Grade.Slope[:], 0) || d.Grade.Saturation == 0 {
		return fmt.Errorf("a slope or the saturation is 0, which style %s cannot undo", d.Style)
	}
	return nil
}
