package look

import (
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
)

// Segments is a choice of one among a few, side by side on a dark row.
type Segments struct {
	control
	Bare   bool // without the dark row
	parts  []segment
	at     int
	chosen func(i int)
}

type segment struct {
	digit, label string
	mark         Mark
	off, tight   bool
	x, width     float32 // set when drawn
}

const (
	segmentPad    = 10
	markedPad     = 7
	tightPad      = 6
	segmentInset  = 2
	segmentHeight = 28
	digitGap      = 5
)

// NewSegments offers the labels; the first is chosen. A label "3\tHatch" shows
// its first part as a quiet digit. chosen hears of the user's choices alone.
func NewSegments(labels []string, chosen func(i int)) *Segments {
	s := &Segments{chosen: chosen}
	for _, l := range labels {
		p := segment{label: l}
		if digit, label, ok := strings.Cut(l, "\t"); ok {
			p.digit, p.label = digit, label
		}
		s.parts = append(s.parts, p)
	}
	s.start(s, "")
	return s
}

// Set chooses segment i, silently; a number outside chooses none.
func (s *Segments) Set(i int) {
	if s.at == i {
		return
	}
	s.at = i
	s.Refresh()
}

// At is the chosen segment.
func (s *Segments) At() int { return s.at }

// SetMarks puts a mark before each label.
func (s *Segments) SetMarks(marks ...Mark) {
	for i := range min(len(marks), len(s.parts)) {
		s.parts[i].mark = marks[i]
	}
	s.Refresh()
}

// Tighten leaves little room beside the words.
func (s *Segments) Tighten() {
	for i := range s.parts {
		s.parts[i].tight = true
	}
	s.Refresh()
}

// SetOff greys one segment, or lets it be chosen again.
func (s *Segments) SetOff(i int, off bool) {
	if s.parts[i].off == off {
		return
	}
	s.parts[i].off = off
	s.Refresh()
}

func (s *Segments) choose(i int) {
	if s.off || i < 0 || i >= len(s.parts) || s.parts[i].off || i == s.at {
		return
	}
	s.Set(i)
	if s.chosen != nil {
		s.chosen(i)
	}
}

func (s *Segments) MouseDown(ev *desktop.MouseEvent) {
	s.control.MouseDown(ev)
	if ev.Button != desktop.MouseButtonPrimary {
		return
	}
	for i, p := range s.parts {
		if ev.Position.X >= p.x && ev.Position.X < p.x+p.width {
			s.choose(i)
		}
	}
}

func (s *Segments) TypedKey(ev *fyne.KeyEvent) {
	s.typed()
	switch ev.Name {
	case fyne.KeyLeft, fyne.KeyUp:
		s.choose(s.next(-1))
	case fyne.KeyRight, fyne.KeyDown:
		s.choose(s.next(1))
	default:
		s.passKey(ev)
	}
}

// next is the nearest segment that can be chosen, in one direction from the chosen one.
func (s *Segments) next(direction int) int {
	i := s.at + direction
	for i >= 0 && i < len(s.parts) && s.parts[i].off {
		i += direction
	}
	return i
}

func (p segment) pad() float32 {
	switch {
	case p.tight:
		return tightPad
	case p.mark != NoMark:
		return markedPad
	}
	return segmentPad
}

func (p segment) natural() float32 {
	w := labelStyle.Measure(p.label).Width + 2*p.pad()
	if p.digit != "" {
		w += digitStyle.Measure(p.digit).Width + digitGap
	}
	if p.mark != NoMark {
		w += markSize + 2
	}
	return w
}

var (
	labelStyle = Style{Size: SmallSize}
	digitStyle = Style{Size: AxisSize, Colour: Third}
)

func (s *Segments) natural() float32 {
	var width float32
	for _, p := range s.parts {
		width += p.natural()
	}
	return width
}

// spread shares the width out: each as wide as its words, and what is left over
// in equal parts.
func (s *Segments) spread(width float32) {
	spare := max(0, width-2*segmentInset-s.natural()) / float32(max(1, len(s.parts)))
	x := float32(segmentInset)
	for i := range s.parts {
		p := &s.parts[i]
		p.x, p.width = x, p.natural()+spare
		x += p.width
	}
}

// words are what one segment is drawn with.
type words struct {
	digit, label *canvas.Text
	mark         *stamp
}

func (s *Segments) CreateRenderer() fyne.WidgetRenderer {
	row, body, focus := canvas.NewRectangle(Plot), canvas.NewRectangle(Chosen), newRing()
	row.CornerRadius, body.CornerRadius = radius, radius
	objects := []fyne.CanvasObject{focus, row, body}
	all := make([]words, len(s.parts))
	for i := range all {
		all[i] = words{canvas.NewText("", Third), canvas.NewText("", Text), newStamp()}
		objects = append(objects, all[i].digit, all[i].label, &all[i].mark.Image)
	}
	return &face{of: s, objects: objects,
		min: func() fyne.Size { return fyne.NewSize(s.natural()+2*segmentInset, segmentHeight) },
		draw: func(size fyne.Size) {
			s.spread(size.Width)
			row.Resize(size)
			row.Hidden = s.Bare
			s.ringAround(focus, fyne.Position{}, size)
			body.Hidden = true
			for i, p := range s.parts {
				if i == s.at {
					body.Hidden = false
					place(body, p.x, segmentInset, p.width, size.Height-2*segmentInset)
				}
				p.drawWords(all[i], s.segmentInk(i), size.Height)
			}
		}}
}

func (p segment) drawWords(w words, c color.Color, height float32) {
	x := p.x + (p.width-p.natural())/2 + p.pad()
	box := fyne.NewSize(p.width, height)
	w.mark.put(p.mark, c, fyne.NewPos(x-2, (height-markSize)/2))
	if p.mark != NoMark {
		x += markSize + 2
	}
	putText(w.digit, p.digit, digitStyle, fyne.NewPos(x, 0), box)
	if p.digit != "" {
		x += digitStyle.Measure(p.digit).Width + digitGap
	}
	putText(w.label, p.label, Style{Size: SmallSize, Colour: c}, fyne.NewPos(x, 0), box)
}

func (s *Segments) segmentInk(i int) color.Color {
	switch {
	case s.off || s.parts[i].off:
		return Off
	case i == s.at:
		return White
	}
	return Second
}

// Labels are the words of the segments, in their order.
func (s *Segments) Labels() []string {
	labels := make([]string, len(s.parts))
	for i, p := range s.parts {
		labels[i] = p.label
	}
	return labels
}
