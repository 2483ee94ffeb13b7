package study

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
)

// A form passes the members of one JSON object by name, when reading from the
// file into the study, when writing the other way: each type says once what
// its fields are called, and both directions follow.
type form struct {
	*page
	place string        // where in the file, for messages
	home  func() string // the same by ids and frames; see restField
	obj   *object       // read from, or written to
	known map[string]bool
}

// A page is what all forms of one file share.
type page struct {
	writing bool
	rest    []restField // members that nobody asked for in reading
	kept    restIndex   // such members that are to be written
	err     error       // the first
}

// newForm returns the form of a whole file.
func newForm(p *page, obj *object) *form {
	return &form{page: p, home: func() string { return "" }, obj: obj, known: map[string]bool{}}
}

// inner returns the form of a member's object.
func (f *form) inner(name string, obj *object) *form {
	return &form{page: f.page, place: join(f.place, name), home: func() string { return join(f.home(), name) }, obj: obj, known: map[string]bool{}}
}

// element returns the form of an object in a list.
func (f *form) element(name string, i int, obj *object) *form {
	e := f.inner(fmt.Sprintf("%s[%d]", name, i), obj)
	e.home = func() string { return join(f.home(), name+"["+identity(obj)+"]") }
	return e
}

// identity tells an object of a list from the others, wherever it stands.
func identity(obj *object) string {
	for _, name := range []string{"id", "frame"} {
		if v, ok := obj.values[name]; ok {
			return name + " " + describe(v)
		}
	}
	return ""
}

func (f *form) fail(name, format string, args ...any) {
	if f.err == nil {
		f.err = errors.New(join(f.place, name) + " " + fmt.Sprintf(format, args...))
	}
}

func join(place, name string) string {
	if place == "" || name == "" {
		return place + name
	}
	return place + "." + name
}

// get returns a member that is to be read.
func (f *form) get(name string) (v any, ok bool) {
	f.known[name] = true
	v, ok = f.obj.values[name]
	return v, ok && f.err == nil
}

// done keeps members that nobody asked for, and writes those that were kept of
// this object.
func (f *form) done() {
	if f.writing {
		f.writeRest()
		return
	}
	for _, name := range f.obj.names {
		if !f.known[name] {
			f.rest = append(f.rest, restField{join(f.place, name), f.home(), name, printed(f.obj.values[name])})
		}
	}
}

// must passes a field that always stands in the file.
func must[T comparable](f *form, name string, v *T) {
	if f.writing {
		f.obj.set(name, toTree(*v))
		return
	}
	if raw, ok := f.get(name); ok {
		fromTree(f, name, raw, v)
	} else {
		f.fail(name, "is missing")
	}
}

// may passes a field that is absent where it has its neutral value.
func may[T comparable](f *form, name string, v *T, neutral T) {
	switch {
	case f.writing && *v != neutral:
		f.obj.set(name, toTree(*v))
	case !f.writing:
		*v = neutral
		if raw, ok := f.get(name); ok {
			fromTree(f, name, raw, v)
		}
	}
}

// choice passes a word out of a fixed set, which want spells out. Unless it is
// needed it is absent where it is the first of them.
func choice[T interface {
	comparable
	String() string
}](f *form, name string, v *T, parse func(string) (T, error), want string, needed bool) {
	var first T
	word := (*v).String()
	if needed {
		must(f, name, &word)
	} else {
		may(f, name, &word, first.String())
	}
	if f.writing || f.err != nil {
		return
	}
	var err error
	if *v, err = parse(word); err != nil {
		f.fail(name, "is %s, want %s", describe(word), want)
	}
}

func toTree(v any) any {
	switch v := v.(type) {
	case float64:
		return json.Number(shortest(v))
	case int:
		return json.Number(strconv.Itoa(v))
	case int64:
		return json.Number(strconv.FormatInt(v, 10))
	}
	return v // string, bool
}

// shortest writes v with as few digits as give it back.
func shortest(v float64) string {
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a >= 1e21) {
		return strconv.FormatFloat(v, 'e', -1, 64)
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

func fromTree[T comparable](f *form, name string, raw any, v *T) {
	switch v := any(v).(type) {
	case *float64:
		*v = f.float(name, raw)
	case *int:
		*v = int(f.whole(name, raw, math.MaxInt))
	case *int64:
		*v = f.whole(name, raw, math.MaxInt64)
	case *string:
		*v = scalarOf[string](f, name, raw, "text")
	case *bool:
		*v = scalarOf[bool](f, name, raw, "true or false")
	default:
		panic("study: a field of a type that files do not know")
	}
}

func scalarOf[T any](f *form, name string, raw any, want string) T {
	v, ok := raw.(T)
	if !ok {
		f.fail(name, "is %s, want %s", describe(raw), want)
	}
	return v
}

func (f *form) float(name string, raw any) float64 {
	n, ok := raw.(json.Number)
	if !ok {
		f.fail(name, "is %s, want a number", describe(raw))
		return 0
	}
	v, err := strconv.ParseFloat(string(n), 64)
	if err != nil {
		f.fail(name, "is %s, which is beyond every number a setting can have", describe(raw))
	}
	return v + 0 // -0 becomes 0: a field left out for being 0 must not differ from it
}

func (f *form) whole(name string, raw any, most int64) int64 {
	n, ok := raw.(json.Number)
	if ok {
		if v, err := strconv.ParseInt(string(n), 10, 64); err == nil && v <= most && v >= -most {
			return v
		}
	}
	f.fail(name, "is %s, want a whole number", describe(raw))
	return 0
}

// describe says what stands in the file, in few words.
func describe(raw any) string {
	var s string
	switch v := raw.(type) {
	case *object:
		return "an object"
	case []any:
		return fmt.Sprintf("a list of %d", len(v))
	case string:
		s = "text " + quoted(v)
	default:
		s = string(scalar(nil, v))
	}
	if r := []rune(s); len(r) > 60 {
		s = string(r[:60]) + "..."
	}
	return s
}

// object passes a member that is an object, described by fields. When writing,
// it is left out where it would be empty.
func (f *form) object(name string, fields func(*form)) {
	inner := f.inner(name, newObject())
	if f.writing {
		fields(inner)
		if inner.done(); len(inner.obj.names) > 0 {
			f.obj.set(name, inner.obj)
		}
		return
	}
	if raw, ok := f.get(name); ok {
		obj, isObject := raw.(*object)
		if !isObject {
			f.fail(name, "is %s, want an object", describe(raw))
			return
		}
		inner.obj = obj
	}
	fields(inner)
	inner.done()
}

// list passes a member that is a list of objects, each described by fields. It
// is left out where it is empty.
func list[T any](f *form, name string, v *[]T, fields func(*form, *T)) {
	if f.writing {
		if len(*v) > 0 {
			f.obj.set(name, writeList(f, name, *v, fields))
		}
		return
	}
	*v = nil
	raw, ok := f.get(name)
	if !ok {
		return
	}
	elements := scalarOf[[]any](f, name, raw, "a list")
	for i, e := range elements {
		place := fmt.Sprintf("%s[%d]", name, i)
		obj, isObject := e.(*object)
		if !isObject {
			f.fail(place, "is %s, want an object", describe(e))
		}
		if f.err != nil {
			return
		}
		inner := f.element(name, i, obj)
		var one T
		fields(inner, &one)
		inner.done()
		*v = append(*v, one)
	}
}

func writeList[T any](f *form, name string, v []T, fields func(*form, *T)) []any {
	out := make([]any, len(v))
	for i := range v {
		inner := f.element(name, i, newObject())
		fields(inner, &v[i])
		inner.done()
		out[i] = inner.obj
	}
	return out
}

// numbers passes a list of exactly len(v) numbers, absent where all are 0.
func numbers[T comparable](f *form, name string, v []T) {
	var zero T
	if f.writing {
		out, any := make([]any, len(v)), false
		for i := range v {
			out[i], any = toTree(v[i]), any || v[i] != zero
		}
		if any {
			f.obj.set(name, out)
		}
		return
	}
	clear(v)
	raw, ok := f.get(name)
	if !ok {
		return
	}
	given, _ := raw.([]any)
	if len(given) != len(v) {
		f.fail(name, "is %s, want a list of %d numbers", describe(raw), len(v))
		return
	}
	for i := range v {
		fromTree(f, fmt.Sprintf("%s[%d]", name, i), given[i], &v[i])
	}
}
