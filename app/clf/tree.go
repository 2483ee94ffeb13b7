package clf

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Limits of what is read.
const (
	maxFile      = 64 << 20 // bytes: a cube of 128 with ten digits a number
	deepest      = 8        // elements in each other; the specification's own take 4
	mostElements = 2000
)

// An element is one of a file's, with all that is in it.
type element struct {
	name     string
	line     int
	attrs    []xml.Attr
	text     string // between the children, with the line breaks of what is left out
	textLine int    // where text begins
	children []*element
}

// A lineError says where a file is wrong.
type lineError struct {
	line int
	what string
}

func (e *lineError) Error() string { return fmt.Sprintf("line %d: %s", e.line, e.what) }

func failAt(line int, format string, args ...any) error {
	return &lineError{line, fmt.Sprintf(format, args...)}
}

func (e *element) fail(format string, args ...any) error { return failAt(e.line, format, args...) }

// parseTree reads a file's one root.
func parseTree(r io.Reader) (*element, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	switch {
	case err != nil:
		return nil, err
	case len(data) > maxFile:
		return nil, fmt.Errorf("file is larger than %d MiB", maxFile>>20)
	case len(bytes.TrimSpace(data)) == 0:
		return nil, errors.New("the file is empty")
	}
	t := &treeReader{Decoder: xml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(data, []byte("\uFEFF"))))}
	t.CharsetReader = func(charset string, _ io.Reader) (io.Reader, error) {
		return nil, fmt.Errorf("text is in %q, want UTF-8", charset)
	}
	root, err := t.root()
	var syntax *xml.SyntaxError
	var known *lineError
	switch {
	case err == nil, errors.As(err, &known):
		return root, err
	case errors.As(err, &syntax):
		return nil, failAt(syntax.Line, "is not sound XML: %s", syntax.Msg)
	}
	return nil, failAt(t.line(), "%s", strings.TrimPrefix(err.Error(), "xml: "))
}

// A treeReader makes elements of XML.
type treeReader struct {
	*xml.Decoder
	count int
}

func (t *treeReader) line() int {
	line, _ := t.InputPos()
	return line
}

// root reads all of the file.
func (t *treeReader) root() (root *element, err error) {
	for {
		token, err := t.Token()
		if err == io.EOF {
			if root == nil {
				return nil, failAt(t.line(), "has no element, want ProcessList")
			}
			return root, nil
		}
		if err != nil {
			return nil, err
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		if root != nil {
			return nil, failAt(t.line(), "has a second root element, %q, want one", start.Name.Local)
		}
		if root, err = t.element(start, 1); err != nil {
			return nil, err
		}
	}
}

// element reads one up to its end.
func (t *treeReader) element(start xml.StartElement, depth int) (*element, error) {
	e := &element{name: start.Name.Local, line: t.line(), textLine: t.line()}
	for _, a := range start.Attr {
		if a.Name.Space != "xmlns" && a.Name.Space != "xml" && a.Name.Local != "xmlns" {
			e.attrs = append(e.attrs, a)
		}
	}
	if t.count++; t.count > mostElements {
		return nil, e.fail("has more than %d elements", mostElements)
	}
	if depth > deepest {
		return nil, e.fail("%s lies in %d others, want %d at the most", e.name, depth-1, deepest-1)
	}
	var text strings.Builder
	for {
		before := t.line()
		token, err := t.Token()
		if err != nil {
			return nil, err
		}
		switch token := token.(type) {
		case xml.StartElement:
			child, err := t.element(token, depth+1)
			if err != nil {
				return nil, err
			}
			e.children = append(e.children, child)
			text.WriteString(strings.Repeat("\n", t.line()-before))
		case xml.CharData:
			text.Write(token)
		case xml.EndElement:
			e.text = text.String()
			return e, nil
		default: // a comment
			text.WriteString(strings.Repeat("\n", t.line()-before))
		}
	}
}

// only demands that all attributes are among names.
func (e *element) only(names ...string) error {
	for i, a := range e.attrs {
		if !slices.Contains(names, a.Name.Local) {
			return e.fail("%s has an attribute %q, want none but %s", e.name, a.Name.Local, strings.Join(names, ", "))
		}
		if slices.ContainsFunc(e.attrs[:i], func(b xml.Attr) bool { return b.Name.Local == a.Name.Local }) {
			return e.fail("%s has the attribute %q twice", e.name, a.Name.Local)
		}
	}
	return nil
}

// attr returns an attribute.
func (e *element) attr(name string) (value string, there bool) {
	for _, a := range e.attrs {
		if a.Name.Local == name {
			return a.Value, true
		}
	}
	return "", false
}

// one returns the only child of a name, nil for none.
func (e *element) one(name string) (*element, error) {
	var found *element
	for _, c := range e.children {
		if c.name == name && found != nil {
			return nil, c.fail("%s stands twice in one %s", name, e.name)
		}
		if c.name == name {
			found = c
		}
	}
	return found, nil
}

// needed is one that must be there.
func (e *element) needed(name string) (*element, error) {
	c, err := e.one(name)
	if err == nil && c == nil {
		err = e.fail("%s has no %s", e.name, name)
	}
	return c, err
}

// onlyChildren demands that all children are among names, and that text alone holds
// none.
func (e *element) onlyChildren(names ...string) error {
	for _, c := range e.children {
		if !slices.Contains(names, c.name) {
			return c.fail("%s has an element %q, want none but %s", e.name, c.name, strings.Join(names, ", "))
		}
	}
	return nil
}
