package desk

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// What dabs do to a pick. Colours are read and picks fitted in the background.

// A pressedDab is one on its way into a matte.
type pressedDab struct {
	study.Dab
	matteID int
	masks   bool // it is for masks too
}

// A fitted is what a pick becomes by dabs.
type fitted struct {
	of   fitOf
	pick selection.Pick
	fits bool // it is what the dabs ask for; else it was tuned by hand
}

// fitOf says what a fitted was worked out for.
type fitOf struct {
	about   *study.Study
	matteID int
	dab     study.Dab // the one that is new
}

// A fitAsk asks what a pick becomes by one more dab, whose colours are the last of
// the samples.
type fitAsk struct {
	of      fitOf
	matte   *study.Matte
	frame   int
	samples []selection.Dab
}

// PressDab tells of a dab of the chosen matte that is pressed and not let go yet: one
// that is new, or one that is moved. It returns the colours under it; none where they
// are not known, or the dab is for masks alone. What the pick becomes with it is worked out in the background, as soon
// as the findings are of the study as it is; NewPreview tells that Would knows.
func (d *Desk) PressDab(dab study.Dab) (colours []colour.RGB) {
	if d.ForMasksAlone(dab) {
		return nil
	}
	if d.pressed == nil {
		d.would = fitted{} // which is of the press before
	}
	d.pressed = &pressedDab{Dab: dab, matteID: d.MatteID}
	return d.fitPressed()
}

// fitPressed asks what the pick becomes with the pressed dab, whose colours it returns.
func (d *Desk) fitPressed() (colours []colour.RGB) {
	m, dab := d.Matte(), d.pressed.Dab
	if m == nil || m.ID != d.pressed.matteID || d.Found.Picked == nil || d.Found.Frame != d.Frame {
		return nil
	}
	width, height := d.Found.Picked.Size()
	colour.EachInDisc(dab.X, dab.Y, dab.Radius, width, height, func(x, y int) {
		colours = append(colours, d.Found.Picked.RGB(x, y))
	})
	switch {
	case len(colours) == 0: // it lies outside the frame
		d.would = fitted{}
	case d.Fresh(): // else the dabs that are known may be others
		d.fitter.Ask(fitAsk{
			of: fitOf{d.Study(), m.ID, dab}, matte: m, frame: d.Frame,
			samples: append(d.dabsBut(dab.ID), selection.Dab{Colours: colours, Keep: dab.Kind == study.Keep}),
		})
	}
	return colours
}

// EndPress forgets the pressed dab.
func (d *Desk) EndPress() { d.pressed = nil }

// Would is what the pick becomes with the pressed dab; ok is false while that is not
// known.
func (d *Desk) Would() (p selection.Pick, ok bool) {
	if d.pressed == nil || d.would.of.about == nil || d.would.of.about != d.Study() {
		return p, false
	}
	return d.would.pick, d.would.of.matteID == d.pressed.matteID
}

// fit works for the fitter.
func (d *Desk) fit(_ context.Context, q fitAsk) {
	p, fits := pickWith(q.matte, q.frame, q.samples)
	d.Post(func() {
		if d.pressed != nil && d.Study() == q.of.about {
			d.would = fitted{q.of, p, fits}
			d.Learned(NewPreview)
		}
	})
}

// followsDabs reports whether a matte's pick is what its dabs ask for, or asks for
// nothing: then it goes with the next dab.
func followsDabs(m *study.Matte) bool {
	l := &m.Pick.Limits
	return m.Pick.Fitted || l[0].Off && l[1].Off && l[2].Off
}

// pickWith is what a matte's pick becomes at a frame with one more dab, the last of the samples,
// and whether it is a fit.
func pickWith(m *study.Matte, frame int, samples []selection.Dab) (selection.Pick, bool) {
	p, fits := PickWith(m.Pick.At(frame), followsDabs(m), samples)
	if fits {
		p = m.KeepFades(p, frame)
	}
	return p, fits
}

// PickWith is what a pick becomes with one more dab, the last of the samples, and
// whether it is a fit. A pick that goes with the dabs is fitted again. One that was
// tuned by hand stays, but for its ranges being opened to take in a new keep dab.
func PickWith(old selection.Pick, fits bool, samples []selection.Dab) (selection.Pick, bool) {
	last := samples[len(samples)-1]
	switch {
	case fits:
		return refitted(old, samples)
	case last.Keep:
		return selection.IncludeDab(old, last.Colours), false
	}
	return old, false
}

// refitted is a fit in the model of a pick; the pick as it was where there is nothing
// to keep.
func refitted(old selection.Pick, samples []selection.Dab) (selection.Pick, bool) {
	f, err := selection.Fit(samples, old.Model)
	if err != nil {
		return old, true
	}
	return f.Pick, true
}

// withPick reads the colours under dabs of a matte and works out a pick from them in
// the background, and goes on with it on the desk's goroutine. The error is
// errOvertaken where the user did something else meanwhile; any other has been
// reported. Where another study was opened nothing goes on.
func (d *Desk) withPick(m *study.Matte, dabs []study.Dab, work func(samples []selection.Dab) (selection.Pick, bool), then func(p selection.Pick, fits bool, err error)) {
	read := *m
	read.Dabs = dabs
	session, s, r := d.Session, d.Study(), d.Work.Renderer
	go func() {
		var p selection.Pick
		var fits bool
		samples, err := r.DabSamples(context.Background(), s, &read)
		if err == nil {
			p, fits = work(samples)
		}
		d.Post(func() {
			switch {
			case d.Session != session || d.left:
				return
			case err != nil:
				d.Report(Problem{"The dabs cannot be read", "Put the picture back, or open another study.", err})
			case d.Study() != s:
				err = errOvertaken
			}
			then(p, fits, err)
		})
	}()
}

var errOvertaken = errors.New("the study is another by now")

// AddDab puts a dab on the frame, for what new dabs are for; the pick becomes what it asks
// for. Dabs that
// come faster than their colours can be read wait for those before them.
func (d *Desk) AddDab(dab study.Dab) {
	if d.Matte() == nil {
		return
	}
	dab.Frame = d.Frame
	if d.DabUse() == ForMasks {
		d.addMaskDab(dab)
		return
	}
	d.Dabs = append(d.Dabs, pressedDab{dab, d.MatteID, d.DabUse() == ForBoth})
	if len(d.Dabs) == 1 {
		d.addNextDab()
	}
}

func (d *Desk) addNextDab() {
	for len(d.Dabs) > 0 {
		next := d.Dabs[0]
		m := d.Study().Matte(next.matteID)
		switch {
		case m == nil: // it was deleted since
			d.Dabs = d.Dabs[1:]
		case d.would.of == (fitOf{d.Study(), m.ID, next.Dab}): // known from when it was pressed
			d.Dabs = d.Dabs[1:]
			d.putDab(next, d.would.pick, d.would.fits)
		default:
			d.readNextDab(next, m)
			return
		}
	}
}

// readNextDab works out what the first dab that waits makes of its matte's pick.
func (d *Desk) readNextDab(next pressedDab, m *study.Matte) {
	work := func(samples []selection.Dab) (selection.Pick, bool) { return pickWith(m, next.Frame, samples) }
	d.withPick(m, append(slices.Clone(m.Dabs), next.Dab), work, func(p selection.Pick, fits bool, err error) {
		if err != errOvertaken { // else its turn comes again
			d.Dabs = d.Dabs[1:]
		}
		if err == nil {
			d.putDab(next, p, fits)
		}
		d.addNextDab()
	})
}

func (d *Desk) putDab(dab pressedDab, p selection.Pick, fits bool) {
	done := d.Edit(fmt.Sprintf("%s dab", Capital(dab.Kind.String())), func(s *study.Study, _ *study.Matte) error {
		m := s.Matte(dab.matteID)
		s.AddDab(m, dab.Dab)
		if dab.masks {
			s.AddMaskDab(m, dab.Dab)
		}
		PutPick(m, p, dab.Frame)
		m.SetFitted(fits)
		return nil
	})
	if done && dab.masks {
		d.tellUnheard(d.Study().Matte(dab.matteID), dab.Dab)
	}
}

// PutPick makes a pick the matte's at a frame, set by hand. A range that stays as it
// is there gets no key. One of another model, or by another plane, is put on every frame.
func PutPick(m *study.Matte, p selection.Pick, frame int) {
	m.Pick.Fitted = false
	if m.Pick.Model != p.Model || m.Pick.Normal != p.Normal {
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
func (d *Desk) dabsBut(id int) []selection.Dab {
	out := slices.Clone(d.Found.Dabs)
	m := d.Matte()
	if i := slices.IndexFunc(m.Dabs, func(o study.Dab) bool { return o.ID == id }); i >= 0 && i < len(out) {
		out = slices.Delete(out, i, i+1)
	}
	return out
}

// RemoveDab takes the dab of an id away. A pick that goes with the dabs is fitted to
// those that are left.
func (d *Desk) RemoveDab(id int) { d.replaceDab("Remove dab", id, nil) }

// MoveDab puts a dab elsewhere. A pick that goes with the dabs is fitted again.
func (d *Desk) MoveDab(to study.Dab) { d.replaceDab("Move dab", to.ID, &to) }

// replaceDab puts another dab in the place of that of an id, or none, whatever it is for.
func (d *Desk) replaceDab(label string, id int, to *study.Dab) {
	if !d.alterMaskDab(label, id, to) {
		d.alterDab(label, id, to)
	}
}

// alterDab puts another dab in the place of that of an id among those of the pick, or none.
func (d *Desk) alterDab(label string, id int, to *study.Dab) {
	m := d.Matte()
	if m == nil {
		return
	}
	i := slices.IndexFunc(m.Dabs, func(o study.Dab) bool { return o.ID == id })
	if i < 0 {
		return
	}
	dabs := slices.Delete(slices.Clone(m.Dabs), i, i+1)
	if to != nil {
		dabs = slices.Insert(dabs, i, *to)
	}
	frame, old, fits, matteID := d.Frame, m.Pick.At(d.Frame), followsDabs(m), m.ID
	work := func(samples []selection.Dab) (selection.Pick, bool) {
		if fits {
			p, fits := refitted(old, samples)
			return m.KeepFades(p, frame), fits
		}
		return old, false
	}
	d.withPick(m, dabs, work, func(p selection.Pick, fits bool, err error) {
		if d.MatteID != matteID || d.Frame != frame {
			return // the user went on meanwhile
		}
		if err == errOvertaken {
			d.alterDab(label, id, to) // among the dabs that there are by now
		}
		if err != nil {
			return
		}
		d.EditMatte(label, func(m *study.Matte) error {
			m.Dabs = dabs
			PutPick(m, p, frame)
			m.SetFitted(fits)
			return nil
		})
	})
}

// RemoveDabs takes all dabs of the chosen matte away. Its pick stays.
func (d *Desk) RemoveDabs() {
	d.EditMatte("Remove all dabs", func(m *study.Matte) error {
		m.Dabs, m.MaskDabs = nil, nil
		return nil
	})
}

// UseDab makes presses on the frame dabs of a kind.
func (d *Desk) UseDab(k study.Kind) {
	d.Set(func() {
		d.OpenStep(StepPick)
		d.DabKind = k
	})
}

// UseModel makes a matte's pick one of another model: what its dabs ask for
// there, or everything where it has none.
func (d *Desk) UseModel(model selection.Model) {
	if m := d.Matte(); m != nil {
		d.useModelOf(m.ID, model)
	}
}

func (d *Desk) useModelOf(matteID int, model selection.Model) {
	m := d.Study().Matte(matteID)
	if m == nil || m.Pick.Model == model {
		return
	}
	everything := study.NewSettings(model)
	old := everything.Pick.At(d.Frame)
	work := func(samples []selection.Dab) (selection.Pick, bool) { return refitted(old, samples) }
	d.withPick(m, m.Dabs, work, func(p selection.Pick, fits bool, err error) {
		switch {
		case err == errOvertaken:
			d.useModelOf(matteID, model)
		case err == nil:
			label := "Pick in " + ModelName(model)
			if model == selection.PlaneModel {
				label = "Pick by plane"
			}
			d.Edit(label, func(s *study.Study, _ *study.Matte) error {
				m := s.Matte(matteID)
				m.Pick = study.ConstantPick(p, m.Pick.Smooth)
				m.SetFitted(fits)
				return nil
			})
		}
	})
}

// ModelName is what a model of colours is called on screens.
func ModelName(m selection.Model) string { return [...]string{"HSL", "LCh", "Plane"}[m] }
