package study

import (
	"encoding/json"
	"fmt"
	"strings"

	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// Version is the version of the file format that this package reads and writes.
const Version = 2

// versionField names the program and holds the file's version.
const versionField = "halocline"

// fields passes the whole study. Writing only reads it, here and in all that
// this calls: others may read it at the same time.
func (s *Study) fields(f *form) {
	version := Version
	must(f, versionField, &version)
	f.object("clip", s.Clip.fields)
	f.object("base", s.Base.fields)
	list(f, "mattes", &s.Mattes, func(f *form, m *Matte) { m.fields(f) })
	may(f, "next", &s.Next, 0)
	s.extra(f)
}

// extra carries an object as it is.
func (s *Study) extra(f *form) {
	switch {
	case f.writing && s.Extra != "":
		tree, err := parse([]byte(s.Extra), 1)
		if err != nil {
			f.fail("extra", "is not JSON: %v", err)
			return
		}
		f.obj.set("extra", tree)
	case !f.writing:
		s.Extra = ""
		if raw, ok := f.get("extra"); ok {
			obj := scalarOf[*object](f, "extra", raw, "an object")
			if obj != nil {
				s.Extra = printed(obj)
			}
		}
	}
}

func printed(tree any) string {
	var b strings.Builder
	p := printer{w: &b}
	p.print(tree, "", 0)
	return b.String()
}

func (c *Clip) fields(f *form) {
	must(f, "id", &c.ID)
	must(f, "path", &c.Path)
	must(f, "first", &c.First)
	must(f, "count", &c.Count)
	numbers(f, "fps", c.Rate[:])
	numbers(f, "noise", c.Noise[:])
	may(f, "matrix", &c.Matrix, "")
	may(f, "range", &c.Range, "")
	may(f, "size", &c.Size, 0)
	may(f, "sha256", &c.SHA256, "")
}

func (b *Base) fields(f *form) {
	choice(f, "input", &b.Input, colour.ParseTransfer, strings.Join(colour.TransferNames(), ", "), false)
	may(f, "water", &b.Water, "")
	settingFields(f, b.Settings())
}

// settingFields passes settings by their names; a neutral one is absent.
func settingFields(f *form, all []Setting) {
	for _, s := range all {
		if f.writing && s.neutral() && !f.keeps(s.Name) {
			continue
		}
		_, given := f.obj.values[s.Name]
		if !f.writing {
			s.Track.Fix(s.Neutral)
		}
		if f.writing || given {
			f.object(s.Name, func(f *form) { trackFields(f, &s.Track.Track, numberField) })
		}
	}
}

func numberField(f *form, name string, v *float64) { must(f, name, v) }

func rangeField(f *form, name string, v *selection.Range) {
	f.object(name, func(f *form) {
		must(f, "from", &v.From)
		must(f, "to", &v.To)
		may(f, "fadeBefore", &v.Before, 0)
		may(f, "fadeAfter", &v.After, 0)
	})
}

// trackFields passes either a value or keys.
func trackFields[V any](f *form, t *Track[V], field func(*form, string, *V)) {
	_, keys := f.obj.values["keys"]
	_, constant := f.obj.values["value"]
	switch {
	case f.writing && !t.Keyed(), !f.writing && constant && !keys:
		field(f, "value", &t.Value)
	case f.writing || keys && !constant:
		list(f, "keys", &t.Keys, func(f *form, k *Key[V]) {
			must(f, "frame", &k.Frame)
			field(f, "value", &k.Value)
			wayField(f, &k.Way)
		})
		if !t.Keyed() {
			f.fail("keys", "is empty, want one or more")
		}
	case keys:
		f.fail("", "has a value and keys, want one of them")
	default:
		f.fail("", "has neither a value nor keys")
	}
}

func (m *Matte) fields(f *form) {
	must(f, "id", &m.ID)
	must(f, "name", &m.Name)
	may(f, "note", &m.Note, "")
	may(f, "notExported", &m.NotExported, false)
	m.Settings.fields(f)
	list(f, "dabs", &m.Dabs, func(f *form, d *Dab) { d.fields(f) })
	list(f, "proofs", &m.Proofs, func(f *form, p *Proof) {
		must(f, "id", &p.ID)
		must(f, "name", &p.Name)
		may(f, "note", &p.Note, "")
		p.Settings.fields(f)
	})
	list(f, "dismissed", &m.Dismissed, func(f *form, d *Dismissed) {
		must(f, "frame", &d.Frame)
		must(f, "trouble", &d.Trouble)
		must(f, "badness", &d.Badness)
	})
	f.object("carried", m.Carried.fields)
}

func (s *Settings) fields(f *form) {
	f.object("pick", s.Pick.fields)
	list(f, "masks", &s.Masks, func(f *form, m *Mask) { m.fields(f) })
	list(f, "maskDabs", &s.MaskDabs, func(f *form, d *Dab) { d.fields(f) })
	list(f, "joined", &s.Joins, func(f *form, j *Join) {
		must(f, "matte", &j.With)
		choice(f, "how", &j.How, ParseHow, strings.Join(howNames[:], ", "), true)
	})
	f.object("edge", func(f *form) { settingFields(f, s.Edge.Settings()) })
	f.object("trial", func(f *form) {
		may(f, "off", &s.Trial.Off, false)
		may(f, PivotSpec.Name, &s.Trial.Pivot, PivotSpec.Neutral)
		settingFields(f, s.Trial.Settings())
	})
}

// fields passes the model first: it says what the second channel is called.
func (p *Pick) fields(f *form) {
	choice(f, "model", &p.Model, selection.ParseModel, "hsl, lch or plane", true)
	if f.writing {
		must(f, "smooth", &p.Smooth)
	} else {
		may(f, "smooth", &p.Smooth, true)
	}
	may(f, "fitted", &p.Fitted, false)
	if p.Model == selection.PlaneModel {
		p.planeFields(f)
		return
	}
	for c := range selection.Channels {
		p.Limits[c].fields(f, c.Name(p.Model), idleLimit(p.Model, c))
	}
}

// planeFields passes the direction of a plane and the limit across it. Where a file has no
// plane it is idle.
func (p *Pick) planeFields(f *form) {
	across := &p.Limits[selection.Across]
	if !f.writing {
		p.Normal = lightNormal
		for c := range p.Limits {
			p.Limits[c] = idleLimit(p.Model, selection.Channel(c))
		}
	}
	name := selection.Across.Name(p.Model)
	if _, given := f.obj.values[name]; !f.writing && !given {
		return
	}
	f.object(name, func(f *form) {
		numbers(f, "normal", p.Normal[:])
		may(f, "off", &across.Off, false)
		may(f, "inverted", &across.Inverted, false)
		trackFields(f, &across.Track, levelField)
	})
}

// levelField passes a plane's range.
func levelField(f *form, name string, v *selection.Range) {
	f.object(name, func(f *form) {
		must(f, "level", &v.From)
		may(f, "fadeBefore", &v.Before, 0)
		may(f, "fadeAfter", &v.After, 0)
	})
	if !f.writing {
		v.To = v.From
	}
}

// fields passes a limit; an idle one is absent.
func (l *Limit) fields(f *form, name string, idle Limit) {
	_, given := f.obj.values[name]
	switch {
	case f.writing && !l.Keyed() && l.Value == idle.Value && l.Off && !l.Inverted && !f.keeps(name):
		return
	case !f.writing && !given:
		*l = idle
		return
	}
	f.object(name, func(f *form) {
		may(f, "off", &l.Off, false)
		may(f, "inverted", &l.Inverted, false)
		trackFields(f, &l.Track, rangeField)
	})
}

func (d *Dab) fields(f *form) {
	must(f, "id", &d.ID)
	must(f, "frame", &d.Frame)
	must(f, "x", &d.X)
	must(f, "y", &d.Y)
	must(f, "radius", &d.Radius)
	kindField(f, &d.Kind)
}

func kindField(f *form, k *Kind) {
	choice(f, "kind", k, ParseKind, "keep or drop", true)
}

func wayField(f *form, w *mask.Way) {
	choice(f, "way", w, parseNumbersWay, numbersWays, false)
}

const numbersWays = "straight, step or curved"

// parseNumbersWay is mask.ParseWay for numbers, which cannot follow the picture.
func parseNumbersWay(s string) (mask.Way, error) {
	w, err := mask.ParseWay(s)
	if err == nil && !w.OfNumbers() {
		err = fmt.Errorf("way is %q, want %s", s, numbersWays)
	}
	return w, err
}

func (m *Mask) fields(f *form) {
	must(f, "id", &m.ID)
	must(f, "name", &m.Name)
	kindField(f, &m.Kind)
	may(f, "rounded", &m.Rounded, false)
	may(f, "off", &m.Off, false)
	boundField(f, "in", &m.In)
	boundField(f, "out", &m.Out)
	may(f, SearchSpec.Name, &m.Search, SearchSpec.Neutral)
	choice(f, "before", &m.Before, mask.ParseBeyond, "hold or follow", false)
	choice(f, "after", &m.After, mask.ParseBeyond, "hold or follow", false)
	list(f, "keys", &m.Keys, maskKeyFields)
}

func boundField(f *form, name string, b *Bound) {
	if !f.writing {
		_, b.Set = f.obj.values[name]
	}
	if b.Set {
		must(f, name, &b.Frame)
	}
}

func maskKeyFields(f *form, k *MaskKey) {
	must(f, "frame", &k.Frame)
	choice(f, "way", &k.Way, mask.ParseWay, "straight, step, curved or follow", false)
	may(f, "tight", &k.Tight, false)
	may(f, InwardSpec.Name, &k.Inner, InwardSpec.Neutral)
	may(f, OutwardSpec.Name, &k.Outer, OutwardSpec.Neutral)
	may(f, OpacitySpec.Name, &k.Opacity, OpacitySpec.Neutral)
	pointsField(f, k)
}

// pointsField passes the points as pairs.
func pointsField(f *form, k *MaskKey) {
	if f.writing {
		out := make([]any, len(k.Points))
		for i, p := range k.Points {
			out[i] = []any{toTree(p.X), toTree(p.Y)}
		}
		f.obj.set("points", out)
		return
	}
	raw, ok := f.get("points")
	if !ok {
		f.fail("points", "is missing")
		return
	}
	for i, e := range scalarOf[[]any](f, "points", raw, "a list of [x, y]") {
		place := fmt.Sprintf("points[%d]", i)
		pair, _ := e.([]any)
		if len(pair) != 2 {
			f.fail(place, "is %s, want [x, y]", describe(e))
			return
		}
		k.Points = append(k.Points, Point{X: f.float(place, pair[0]), Y: f.float(place, pair[1])})
	}
}

// versionOf returns the file's version before anything else is read, since all
// else may differ by it.
func versionOf(tree any) (int, error) {
	obj, ok := tree.(*object)
	if !ok {
		return 0, fmt.Errorf("is not a study: found %s, want an object", describe(tree))
	}
	n, ok := obj.values[versionField].(json.Number)
	if !ok {
		return 0, fmt.Errorf("is not a study: it has no number %q", versionField)
	}
	f := newForm(&page{}, obj)
	v := f.whole(versionField, n, 1<<30)
	return int(v), f.err
}
