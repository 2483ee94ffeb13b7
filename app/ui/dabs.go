package ui

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"fyne.io/fyne/v2"

	"halocline/app/study"
	"halocline/selection"
)

// What dabs do to a pick.

// withSamples reads the colours under dabs of a matte in the background, and goes
// on with them on Fyne's goroutine. They are in the dabs' order. The error is
// errOvertaken where the user did something else meanwhile; any other has been
// reported. Where another study was opened nothing goes on.
func (w *window) withSamples(m study.Matte, dabs []study.Dab, then func([]selection.Dab, error)) {
	m.Dabs = dabs
	session, s, r := w.desk.Session, w.desk.Study(), w.desk.Work.Renderer
	go func() {
		samples, err := r.DabSamples(context.Background(), s, &m)
		fyne.Do(func() {
			switch {
			case w.desk.Session != session:
				return
			case err != nil:
				w.report(problem{"The dabs cannot be read", "Put the picture back, or open another study.", err})
			case w.desk.Study() != s:
				err = errOvertaken
			}
			then(samples, err)
		})
	}()
}

var errOvertaken = errors.New("the study is another by now")

// A pressedDab is one on its way into a matte.
type pressedDab struct {
	study.Dab
	matteID int
}

// addDab puts a dab on the frame; the pick becomes what it asks for. Dabs that
// come faster than their colours can be read wait for those before them.
func (w *window) addDab(d study.Dab) {
	if w.desk.Matte() == nil {
		return
	}
	d.Frame = w.desk.Frame
	w.dabs = append(w.dabs, pressedDab{d, w.desk.MatteID})
	if len(w.dabs) == 1 {
		w.addNextDab()
	}
}

func (w *window) addNextDab() {
	for len(w.dabs) > 0 {
		d := w.dabs[0]
		if m := w.desk.Study().Matte(d.matteID); m != nil {
			w.withSamples(*m, append(append([]study.Dab{}, m.Dabs...), d.Dab), func(samples []selection.Dab, err error) {
				if err != errOvertaken { // else its turn comes again
					w.dabs = w.dabs[1:]
				}
				if err == nil {
					w.putDab(d, pickWith(m.Pick.At(d.Frame), samples))
				}
				w.addNextDab()
			})
			return
		}
		w.dabs = w.dabs[1:] // its matte was deleted since
	}
}

func (w *window) putDab(d pressedDab, p selection.Pick) {
	w.desk.Edit(fmt.Sprintf("%s dab", title(d.Kind.String())), func(s *study.Study, _ *study.Matte) error {
		m := s.Matte(d.matteID)
		s.AddDab(m, d.Dab)
		putPick(m, p, d.Frame)
		return nil
	})
}

// pickWith is what a pick becomes with one more dab, the last of the samples. A
// pick that nobody has tuned, since it is what the other dabs ask for or lets
// everything in, is fitted again. One that was tuned by hand stays, but for its
// ranges being opened to let in a new keep dab.
func pickWith(old selection.Pick, samples []selection.Dab) selection.Pick {
	last := samples[len(samples)-1]
	if untuned(old, samples[:len(samples)-1]) {
		fitted, err := selection.Fit(samples, old.Model)
		if err != nil {
			return old // nothing to keep yet
		}
		return fitted.Pick
	}
	if last.Keep {
		return selection.IncludeDab(old, last.Colours)
	}
	return old
}

// untuned reports whether a pick is what its dabs ask for, or asks for nothing.
func untuned(p selection.Pick, dabs []selection.Dab) bool {
	if p.Limits[0].Off && p.Limits[1].Off && p.Limits[2].Off {
		return true
	}
	fitted, err := selection.Fit(dabs, p.Model)
	return err == nil && near(fitted.Pick, p)
}

// near reports whether two picks are the same but for rounding.
func near(a, b selection.Pick) bool {
	if a.Model != b.Model {
		return false
	}
	for c := range a.Limits {
		x, y := a.Limits[c], b.Limits[c]
		if x.Off != y.Off || x.Inverted != y.Inverted {
			return false
		}
		if x.Off {
			continue
		}
		for _, d := range []float64{x.From - y.From, x.To - y.To, x.Before - y.Before, x.After - y.After} {
			if d > 1e-6 || d < -1e-6 {
				return false
			}
		}
	}
	return true
}

// putPick makes a pick the matte's at a frame. A range that stays as it is there
// gets no key.
func putPick(m *study.Matte, p selection.Pick, frame int) {
	if m.Pick.Model != p.Model {
		m.Pick = study.ConstantPick(p, m.Pick.Smooth)
		return
	}
	now := m.Pick.At(frame)
	for c := range p.Limits {
		l := &m.Pick.Limits[c]
		l.Off, l.Inverted = p.Limits[c].Off, p.Limits[c].Inverted
		if now.Limits[c].Range != p.Limits[c].Range {
			l.Set(frame, p.Limits[c].Range)
		}
	}
}

// dabsBut are the dabs' colours as known, without those of one.
func (w *window) dabsBut(id int) []selection.Dab {
	out := slices.Clone(w.found.dabs)
	m := w.desk.Matte()
	if i := slices.IndexFunc(m.Dabs, func(d study.Dab) bool { return d.ID == id }); i >= 0 && i < len(out) {
		out = slices.Delete(out, i, i+1)
	}
	return out
}

// removeDab takes the dab of an id away. A pick that nobody has tuned is fitted
// to those that are left.
func (w *window) removeDab(id int) {
	w.alterDab("Remove dab", id, nil)
}

// moveDab puts a dab elsewhere. A pick that nobody has tuned is fitted again.
func (w *window) moveDab(d study.Dab) {
	w.alterDab("Move dab", d.ID, &d)
}

// alterDab puts another dab in the place of that of an id, or none.
func (w *window) alterDab(label string, id int, to *study.Dab) {
	m := w.desk.Matte()
	if m == nil {
		return
	}
	i := slices.IndexFunc(m.Dabs, func(d study.Dab) bool { return d.ID == id })
	if i < 0 {
		return
	}
	dabs, about, matteID := slices.Clone(m.Dabs), w.desk.Study(), m.ID
	if to != nil {
		dabs = append(dabs, *to)
	}
	w.withSamples(*m, dabs, func(samples []selection.Dab, err error) {
		if err != nil || w.desk.MatteID != matteID {
			return // the user went on meanwhile
		}
		frame := w.desk.Frame
		old := w.desk.Matte().Pick.At(frame)
		before := samples[:len(about.Matte(matteID).Dabs)]
		after := slices.Delete(slices.Clone(before), i, i+1)
		if to != nil {
			after = slices.Insert(after, i, samples[len(samples)-1])
		}
		pick := old
		if untuned(old, before) {
			if fitted, err := selection.Fit(after, old.Model); err == nil {
				pick = fitted.Pick
			}
		}
		w.desk.EditMatte(label, func(m *study.Matte) error {
			m.Dabs = slices.Delete(m.Dabs, i, i+1)
			if to != nil {
				m.Dabs = slices.Insert(m.Dabs, i, *to)
			}
			putPick(m, pick, frame)
			return nil
		})
	})
}

func (w *window) removeDabs() {
	w.desk.EditMatte("Remove all dabs", func(m *study.Matte) error {
		m.Dabs = nil
		return nil
	})
}

// useDab makes presses on the frame dabs of a kind.
func (w *window) useDab(k study.Kind) {
	w.desk.Set(func() {
		w.desk.OpenStep(StepPick)
		w.desk.DabKind = k
	})
}

// useModel makes a matte's pick one of another model: what its dabs ask for
// there, or everything where it has none.
func (w *window) useModel(model selection.Model) {
	if m := w.desk.Matte(); m != nil {
		w.useModelOf(m.ID, model)
	}
}

func (w *window) useModelOf(matteID int, model selection.Model) {
	m := w.desk.Study().Matte(matteID)
	if m == nil || m.Pick.Model == model {
		return
	}
	everything := study.NewSettings(model)
	w.withSamples(*m, m.Dabs, func(samples []selection.Dab, err error) {
		if err != nil {
			if err == errOvertaken {
				w.useModelOf(matteID, model)
			}
			return
		}
		p := everything.Pick.At(w.desk.Frame)
		if fitted, err := selection.Fit(samples, model); err == nil {
			p = fitted.Pick
		}
		w.desk.Edit("Pick in "+modelName(model), func(s *study.Study, _ *study.Matte) error {
			m := s.Matte(matteID)
			m.Pick = study.ConstantPick(p, m.Pick.Smooth)
			return nil
		})
	})
}

func modelName(m selection.Model) string { return [...]string{"HSL", "LCh"}[m] }
