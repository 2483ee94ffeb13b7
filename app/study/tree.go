package study

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// A tree is a JSON value: *object, []any, string, json.Number, bool or nil.
// Numbers stay text, so that carrying them loses nothing.

// An object keeps its members in order.
type object struct {
	names  []string
	values map[string]any
}

func newObject() *object { return &object{values: map[string]any{}} }

func (o *object) set(name string, v any) {
	o.names = append(o.names, name)
	o.values[name] = v
}

// maxDepth is how deep values may nest: the document itself needs 9.
const maxDepth = 64

// maxValues is how many values a file may hold: some five million mask points.
// Each takes up to 100 bytes while a file is read.
const maxValues = 16_000_000

// count returns how many values a tree holds.
func count(tree any) int {
	n := 1
	switch v := tree.(type) {
	case *object:
		for _, member := range v.values {
			n += count(member)
		}
	case []any:
		for _, e := range v {
			n += count(e)
		}
	}
	return n
}

// A reader makes a tree of JSON text.
type reader struct {
	*json.Decoder
	left int // how many values it still takes
}

func newReader(data []byte, most int) *reader {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	return &reader{d, most}
}

// parse reads one JSON value, which itself stands depth deep, and nothing behind
// it. Its errors say line and column.
func parse(data []byte, depth int) (any, error) {
	if i := invalidUTF8(data); i >= 0 {
		return nil, fmt.Errorf("%s: text is not valid UTF-8", position(data, i))
	}
	if !json.Valid(data) {
		var raw json.RawMessage
		return nil, syntaxError(data, json.Unmarshal(data, &raw)) // which says where
	}
	d := newReader(data, maxValues)
	tree, err := d.value(depth)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", position(data, int(d.InputOffset())), err)
	}
	return tree, nil
}

func (d *reader) value(depth int) (any, error) {
	t, err := d.Token()
	if err != nil {
		return nil, err
	}
	if d.left--; d.left < 0 {
		return nil, errors.New("there are too many values")
	}
	if depth > maxDepth {
		return nil, fmt.Errorf("values nest deeper than %d", maxDepth)
	}
	switch t {
	case json.Delim('{'):
		return d.members(depth)
	case json.Delim('['):
		return d.elements(depth)
	}
	return t, nil
}

func (d *reader) members(depth int) (any, error) {
	o := newObject()
	for d.More() {
		t, err := d.Token()
		if err != nil {
			return nil, err
		}
		name := t.(string)
		if _, twice := o.values[name]; twice {
			return nil, fmt.Errorf("field %q stands twice in one object", name)
		}
		v, err := d.value(depth + 1)
		if err != nil {
			return nil, err
		}
		o.set(name, v)
	}
	_, err := d.Token()
	return o, err
}

func (d *reader) elements(depth int) (any, error) {
	list := []any{}
	for d.More() {
		v, err := d.value(depth + 1)
		if err != nil {
			return nil, err
		}
		list = append(list, v)
	}
	_, err := d.Token()
	return list, err
}

func invalidUTF8(data []byte) int {
	if utf8.Valid(data) {
		return -1
	}
	for i := 0; ; {
		r, n := utf8.DecodeRune(data[i:])
		if r == utf8.RuneError && n <= 1 {
			return i
		}
		i += n
	}
}

func syntaxError(data []byte, err error) error {
	var syntax *json.SyntaxError
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return errors.New("the file is empty")
	case !errors.As(err, &syntax):
		return err
	case int(syntax.Offset) >= len(data) && strings.Contains(syntax.Error(), "unexpected end"):
		return fmt.Errorf("%s: the file ends in the middle", position(data, len(data)))
	}
	return fmt.Errorf("%s: %w", position(data, int(syntax.Offset)-1), err)
}

// position says line and column of a byte, both from 1.
func position(data []byte, at int) string {
	before := data[:min(max(at, 0), len(data))]
	line := bytes.Count(before, []byte("\n"))
	column := len(before) - (bytes.LastIndexByte(before, '\n') + 1)
	return fmt.Sprintf("line %d, column %d", line+1, column+1)
}

// lineWidth is up to where a list or an object stays on one line.
const lineWidth = 110

// A printer writes a tree as indented JSON, small values on one line.
type printer struct {
	w   io.Writer
	err error
}

func (p *printer) text(parts ...string) {
	for _, s := range parts {
		if p.err == nil {
			_, p.err = io.WriteString(p.w, s)
		}
	}
}

// print writes v, which begins behind lead characters on its line and whose
// further lines are indented by indent.
func (p *printer) print(v any, indent string, lead int) {
	if line, ok := oneLine(nil, v, lineWidth-lead); ok {
		p.text(string(line))
		return
	}
	deeper := indent + "  "
	switch v := v.(type) {
	case *object:
		p.text("{")
		for i, name := range v.names {
			head := deeper + quoted(name) + ": "
			p.text(comma(i), "\n", head)
			p.print(v.values[name], deeper, len(head))
		}
		p.text("\n", indent, "}")
	case []any:
		p.text("[")
		for i, e := range v {
			p.text(comma(i), "\n", deeper)
			p.print(e, deeper, len(deeper))
		}
		p.text("\n", indent, "]")
	default:
		p.text(string(scalar(nil, v)))
	}
}

func comma(i int) string {
	if i == 0 {
		return ""
	}
	return ","
}

// oneLine appends v to b without line breaks. It gives up where more than room
// bytes would be needed in all.
func oneLine(b []byte, v any, room int) (_ []byte, ok bool) {
	ok = true
	switch v := v.(type) {
	case *object:
		b = append(b, '{')
		for i, name := range v.names {
			b = append(b, separator(i)+quoted(name)+": "...)
			if b, ok = oneLine(b, v.values[name], room); !ok {
				return nil, false
			}
		}
		b = append(b, '}')
	case []any:
		b = append(b, '[')
		for i, e := range v {
			b = append(b, separator(i)...)
			if b, ok = oneLine(b, e, room); !ok {
				return nil, false
			}
		}
		b = append(b, ']')
	default:
		b = scalar(b, v)
	}
	return b, len(b) <= room
}

func separator(i int) string {
	if i == 0 {
		return ""
	}
	return ", "
}

func scalar(b []byte, v any) []byte {
	switch v := v.(type) {
	case json.Number:
		return append(b, v...)
	case string:
		return append(b, quoted(v)...)
	case bool:
		return fmt.Append(b, v)
	}
	return append(b, "null"...)
}

func quoted(s string) string {
	special := func(r rune) bool { return r < ' ' || r > '~' || r == '"' || r == '\\' }
	if !strings.ContainsFunc(s, special) {
		return `"` + s + `"`
	}
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(s); err != nil {
		panic("study: a string has no JSON form: " + err.Error())
	}
	return strings.TrimSuffix(b.String(), "\n")
}
