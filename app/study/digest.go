package study

import (
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// Engine is the version of the arithmetic that makes pictures. It rises with
// every change that alters a byte of them.
const Engine = 3

// Digest returns what the matte's picture at a frame depends on, as 64
// hexadecimal digits: the settings as they are at that frame, the base, the
// source's fingerprint, its noise and the engine's version. Names, notes, ids,
// dabs, proofs and the trial do not count. Equal digests mean equal pictures, as
// long as the source stays: of a sequence the fingerprint is the first file's, and
// who keeps pictures adds that of the frame's own (package export).
func (s *Study) Digest(frame int, m *Matte) string {
	return s.DigestOf(frame, &m.Settings)
}

// DigestOf is Digest for settings that may not be a matte's own: a proof's.
func (s *Study) DigestOf(frame int, set *Settings) string {
	l := s.shownLedger(frame)
	l.matteOf(s, s.SettingsAt(set, frame), frame)
	return l.digest()
}

// DigestShown returns what the frame after base depends on.
func (s *Study) DigestShown(frame int) string { return s.shownLedger(frame).digest() }

// DigestFinished returns what the finished picture at a frame depends on: the
// base and every matte with a trial that changes something, in their order.
func (s *Study) DigestFinished(frame int) string {
	l := s.shownLedger(frame)
	l.trials(s, frame)
	return l.digest()
}

// DigestSettings returns what a picture depends on but for the frame itself: frames at
// which all settings are the same have the same. m is nil for a picture without a matte
// of its own: the frame after base, or the finished one. What it covers else is as in
// Digest, DigestShown and DigestFinished.
func (s *Study) DigestSettings(frame int, m *Matte, finished bool) string {
	l := newLedger()
	l.line("settings")
	l.source(s.Clip)
	l.reading(s.Clip)
	l.base(s.Base.At(frame))
	switch {
	case m != nil:
		l.matteOf(s, s.SettingsAt(&m.Settings, frame), frame)
	case finished:
		l.trials(s, frame)
	}
	return l.digest()
}

// DigestGraded returns what a matte's picture at a frame and the grade through it
// depend on, for settings that may not be a matte's own.
func (s *Study) DigestGraded(frame int, set *Settings) string {
	l := s.shownLedger(frame)
	at := s.SettingsAt(set, frame)
	l.matteOf(s, at, frame)
	if at.Trial.Grades() {
		l.grade(at.Trial.CDL())
	}
	return l.digest()
}

// DigestDabs returns what depends on where dabs lie and on the kind of each. of
// tells what else counts on a dab's frame: one of the study's digests.
func DigestDabs(dabs []Dab, of func(frame int) string) string {
	l := newLedger()
	for _, d := range dabs {
		l.line("dab", kindEntry(d.Kind == Drop), d.Frame, d.X, d.Y, d.Radius, of(d.Frame))
	}
	return l.digest()
}

// shownLedger holds what every picture of a frame depends on.
func (s *Study) shownLedger(frame int) *ledger {
	l := newLedger()
	l.source(s.Clip)
	l.line("frame", frame)
	l.reading(s.Clip)
	l.base(s.Base.At(frame))
	return l
}

// source takes down what is read, by which arithmetic.
func (l *ledger) source(c Clip) {
	source := c.SHA256
	if source == "" { // nobody measured it: the path is all there is
		source = c.Path
	}
	l.line("engine", Engine)
	l.line("source", c.Size, source)
}

// reading takes down how the source is read.
func (l *ledger) reading(c Clip) {
	l.triple("noise", c.Noise, [3]float64{})
	l.word("matrix", c.Matrix, "")
	l.word("range", c.Range, "")
}

// trials takes down every matte with a trial that changes something.
func (l *ledger) trials(s *Study, frame int) {
	for i := range s.Mattes {
		at := s.SettingsAt(&s.Mattes[i].Settings, frame)
		if at.Trial.Grades() {
			l.matteOf(s, at, frame)
			l.grade(at.Trial.CDL())
		}
	}
}

// inputEntries are the names of the source's curves in digests.
var inputEntries = map[colour.Transfer]string{
	colour.SRGB: "srgb", colour.BT709: "bt709", colour.HLG: "hlg", colour.ACEScct: "acescct",
}

// Names and neutral values in the functions below belong to digests alone: they
// stay as they are whatever becomes of the code's.

func (l *ledger) base(b colour.Base) {
	l.word("base input", inputEntries[b.Input], "srgb")
	l.triple("base gains", b.Gains, [3]float64{1, 1, 1})
	l.triple("base veil", b.Veil, [3]float64{})
	l.triple("base black", b.Black, [3]float64{})
	l.triple("base attenuation", b.Beta, [3]float64{})
	l.number("base path", b.Path, 0)
	l.number("base exposure", b.Exposure, 0)
	l.number("base contrast", b.Contrast, 1)
	l.number("base pivot", b.Pivot, 0.18)
}

// matteOf takes down a matte's settings on a frame, and what they depend on elsewhere.
func (l *ledger) matteOf(s *Study, at SettingsAt, frame int) {
	l.matte(s, at, frame)
	l.along(s, at)
}

func (l *ledger) matte(s *Study, at SettingsAt, frame int) {
	l.line("matte")
	l.flag("smooth noise", at.Smooth)
	l.pick(at.Pick)
	for _, m := range at.Masks {
		l.mask(m)
	}
	for _, j := range at.Joined {
		l.line("joined", howEntries[j.How])
		l.matte(s, j.Settings, frame)
		l.line("end of joined")
	}
	l.edge(at.Edge)
	l.settle(s, at.Settle, frame)
}

// settle takes down the settings of the frames beside a frame that settles, base among them.
func (l *ledger) settle(s *Study, t *SettleAt, frame int) {
	if t == nil {
		return
	}
	l.line("settle", t.Share)
	for _, step := range []int{-1, 1} {
		beside := newLedger()
		beside.base(s.Base.At(frame + step))
		beside.matteOf(s, t.Beside(step), frame+step)
		l.line("beside", step, beside.digest())
	}
}

// howEntries are the names of ways to join in digests.
var howEntries = [...]string{Add: "add", Touching: "touching", TakeAway: "take away", Within: "within"}

// channelEntries are the names of a pick's channels in digests.
var channelEntries = [selection.Channels]string{selection.Hue: "hue", selection.Sat: "saturation", selection.Light: "lightness"}

// modelEntries are the names of colour models in digests.
var modelEntries = map[selection.Model]string{selection.HSL: "hsl", selection.LCh: "lch", selection.PlaneModel: "plane"}

func (l *ledger) pick(p selection.Pick) {
	l.line("pick", modelEntries[p.Model])
	if p.Model == selection.PlaneModel {
		l.plane(p)
		return
	}
	for c, limit := range p.Limits {
		if limit.Off {
			continue
		}
		name := channelEntries[c]
		l.line(name, limit.From, limit.To, limit.Before, limit.After)
		l.flag(name+" inverted", limit.Inverted)
	}
}

func (l *ledger) plane(p selection.Pick) {
	limit := p.Limits[selection.Across]
	if limit.Off {
		return
	}
	l.line("normal", p.Normal[0], p.Normal[1], p.Normal[2])
	l.line("level", limit.From, limit.Before, limit.After)
	l.flag("plane inverted", limit.Inverted)
}

// kindEntry is what digests call a dab or a mask to keep or to drop.
func kindEntry(drop bool) string {
	if drop {
		return "drop"
	}
	return "keep"
}

func (l *ledger) mask(m mask.Layer) {
	kind := kindEntry(m.Drop)
	if m.Off {
		l.line("mask", kind, "off")
		return
	}
	l.line("mask", kind, len(m.Points))
	for _, p := range m.Points {
		l.line("point", p.X, p.Y)
	}
	l.flag("rounded", m.Rounded)
	l.number("inner", m.Inner, 0)
	l.number("outer", m.Outer, 0)
	l.number("opacity", m.Opacity, 1)
	l.search(m.Search)
	if s := m.Stretch; s != nil {
		l.line("followed", s.Frame)
		l.anchor("from", s.From)
		l.anchor("to", s.To)
		for _, d := range s.Dabs {
			l.line("carried", d.Frame, d.X, d.Y, d.Radius)
			l.flag("outside", !d.Inside)
		}
	}
}

func (l *ledger) anchor(end string, a *mask.Anchor) {
	if a == nil {
		return
	}
	l.line(end, a.Frame)
	l.mask(mask.Layer{Shape: a.Shape, Search: a.Search})
}

// along takes down what followed outlines depend on beside themselves: base on every frame
// of their stretches, where they search for edges.
func (l *ledger) along(s *Study, at SettingsAt) {
	for i := range at.Masks {
		m := &at.Masks[i]
		if m.Off || m.Stretch == nil || !m.Search.On() {
			continue
		}
		from, to := m.Stretch.Span()
		l.line("along", from, to)
		if !s.Base.keyed() {
			to = from // it is the same all along
		}
		before := ""
		for f := from; f <= to; f++ {
			b := newLedger()
			b.base(s.Base.At(f))
			if now := b.digest(); now != before {
				l.line("base from", f, now)
				before = now
			}
		}
	}
	for _, j := range at.Joined {
		l.along(s, j.Settings)
	}
	if t := at.Settle; t != nil {
		l.along(s, t.Before)
		l.along(s, t.After)
	}
}

func (l *ledger) search(s mask.Search) {
	if !s.On() {
		return
	}
	l.line("search", s.Depth)
	l.flag("tight", s.Tight)
	for _, d := range s.Dabs {
		l.line("inside", d.X, d.Y, d.Radius)
		l.flag("outside", !d.Inside)
	}
}

func (l *ledger) edge(e selection.Edge) {
	l.number("despeckle", e.Despeckle, 0)
	l.number("align", e.Align, 0)
	l.number("harden", e.Harden, 0)
	l.number("harden about", e.About, 0.5)
	l.number("grow", e.Grow, 0)
	l.number("soften", e.Soften, 0)
}

func (l *ledger) grade(d colour.CDL) {
	l.line("grade")
	l.triple("slope", d.Slope, [3]float64{1, 1, 1})
	l.triple("offset", d.Offset, [3]float64{})
	l.triple("power", d.Power, [3]float64{1, 1, 1})
	l.number("saturation", d.Saturation, 1)
}
