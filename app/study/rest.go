package study

// A restField is a member of a file that this version does not know. It is kept
// as it stands and written again with the object it belongs to, wherever that
// stands by then; it goes when the object goes.
type restField struct {
	place string // where it stood in the file, for messages: mattes[0].edge.name
	home  string // the object it belongs to: mattes[id 2].edge
	name  string
	text  string // JSON
}

// Unknown returns the places of the fields in the study's file that this version
// does not know, such as "mattes[0].edge.sharpness", in the order of the file. They
// change nothing, and are kept when the study is saved.
func (s *Study) Unknown() []string {
	places := make([]string, len(s.rest))
	for i, r := range s.rest {
		places[i] = r.place
	}
	return places
}

// A restIndex finds what was kept by the object it belongs to.
type restIndex struct {
	of     map[string][]restField
	within map[string]bool // objects that hold such an object, or are one
}

func indexRest(rest []restField) restIndex {
	x := restIndex{map[string][]restField{}, map[string]bool{}}
	for _, r := range rest {
		x.of[r.home] = append(x.of[r.home], r)
		x.within[r.home] = true
		for i, c := range r.home {
			if c == '.' || c == '[' {
				x.within[r.home[:i]] = true
			}
		}
	}
	return x
}

// writeRest writes what was kept of the form's object.
func (f *form) writeRest() {
	if len(f.kept.of) == 0 {
		return
	}
	for _, r := range f.kept.of[f.home()] {
		if _, taken := f.obj.values[r.name]; taken {
			continue
		}
		tree, err := parse([]byte(r.text), 1)
		if err != nil {
			f.fail(r.name, "is not JSON: %v", err)
			return
		}
		f.obj.set(r.name, tree)
	}
}

// keeps reports whether anything was kept of a member's object or of what is in
// it, so that it must be written although all the rest of it is neutral.
func (f *form) keeps(name string) bool {
	return len(f.kept.of) > 0 && f.kept.within[join(f.home(), name)]
}
