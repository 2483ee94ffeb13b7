package look

import (
	"image/color"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Style is how a text looks. The zero Size is BodySize, the zero Colour Text.
type Style struct {
	Size   float32
	Colour color.Color
	Bold   bool
	Align  fyne.TextAlign
}

func (s Style) size() float32 {
	if s.Size == 0 {
		return BodySize
	}
	return s.Size
}

func (s Style) colour() color.Color {
	if s.Colour == nil {
		return Text
	}
	return s.Colour
}

// Measure is the width and height of text in this style.
func (s Style) Measure(text string) fyne.Size {
	return fyne.MeasureText(text, s.size(), fyne.TextStyle{Bold: s.Bold})
}

// Cut is text, shortened with an ellipsis where it is wider than width.
func (s Style) Cut(text string, width float32) string {
	// Half a unit of grace: a label is laid out in the very width it measured.
	if text == "" || s.Measure(text).Width <= width+0.5 {
		return text
	}
	runes := []rune(text)
	lo, hi := 0, len(runes) // lo runes and the ellipsis fit, hi do not
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if s.Measure(string(runes[:mid])+"…").Width <= width {
			lo = mid
		} else {
			hi = mid
		}
	}
	if lo == 0 {
		return ""
	}
	return string(runes[:lo]) + "…"
}

// Label is one line of text, cut with an ellipsis to the width it is given.
// Its own least width does not follow the text, so nothing moves when the text
// changes.
type Label struct {
	widget.BaseWidget
	text  string
	style Style
	width float32
}

// NewLabel is a label of no least width.
func NewLabel(text string, s Style) *Label { return NewFixedLabel(0, text, s) }

// NewFixedLabel is a label at least width wide.
func NewFixedLabel(width float32, text string, s Style) *Label {
	l := &Label{text: text, style: s, width: width}
	l.ExtendBaseWidget(l)
	return l
}

// NewTightLabel is a label as wide as the text it starts with.
func NewTightLabel(text string, s Style) *Label {
	return NewFixedLabel(s.Measure(text).Width, text, s)
}

// Text is the whole text, cut or not.
func (l *Label) Text() string { return l.text }

// SetText changes the text.
func (l *Label) SetText(text string) {
	if l.text == text {
		return
	}
	l.text = text
	l.Refresh()
}

// SetColour changes the colour.
func (l *Label) SetColour(c color.Color) {
	if l.style.Colour == c {
		return
	}
	l.style.Colour = c
	l.Refresh()
}

// SetWidth changes the least width.
func (l *Label) SetWidth(width float32) {
	l.width = width
	l.Refresh()
}

func (l *Label) CreateRenderer() fyne.WidgetRenderer {
	t := canvas.NewText("", color.Transparent)
	return &face{of: l, objects: []fyne.CanvasObject{t},
		min: func() fyne.Size { return fyne.NewSize(l.width, l.style.Measure("0").Height) },
		draw: func(size fyne.Size) {
			putText(t, l.style.Cut(l.text, size.Width), l.style, fyne.Position{}, size)
		}}
}

// Paragraph is text broken over a fixed number of lines; what does not fit is
// cut with an ellipsis. Its height does not follow the text.
type Paragraph struct {
	widget.BaseWidget
	text  string
	style Style
	lines int
}

// NewParagraph is a text of so many lines.
func NewParagraph(lines int, text string, s Style) *Paragraph {
	p := &Paragraph{text: text, style: s, lines: max(1, lines)}
	p.ExtendBaseWidget(p)
	return p
}

// SetText changes the text.
func (p *Paragraph) SetText(text string) {
	if p.text != text {
		p.text = text
		p.Refresh()
	}
}

// Text is the whole text, cut or not.
func (p *Paragraph) Text() string { return p.text }

// broken is the text in its lines.
func (p *Paragraph) broken(width float32) []string {
	lines := make([]string, p.lines)
	words := strings.Fields(p.text)
	for i := range lines {
		if i == len(lines)-1 {
			lines[i] = p.style.Cut(strings.Join(words, " "), width)
			break
		}
		n := 1
		for n < len(words) && p.style.Measure(strings.Join(words[:n+1], " ")).Width <= width {
			n++
		}
		n = min(n, len(words))
		lines[i] = p.style.Cut(strings.Join(words[:n], " "), width)
		words = words[n:]
	}
	return lines
}

func (p *Paragraph) CreateRenderer() fyne.WidgetRenderer {
	texts := make([]*canvas.Text, p.lines)
	objects := make([]fyne.CanvasObject, p.lines)
	for i := range texts {
		texts[i] = canvas.NewText("", color.Transparent)
		objects[i] = texts[i]
	}
	height := p.style.Measure("0").Height
	return &face{of: p, objects: objects,
		min: func() fyne.Size { return fyne.NewSize(0, height*float32(p.lines)) },
		draw: func(size fyne.Size) {
			for i, line := range p.broken(size.Width) {
				putText(texts[i], line, p.style, fyne.NewPos(0, height*float32(i)), fyne.NewSize(size.Width, height))
			}
		}}
}

// putText places a text in a box: aligned as its style says, in the middle
// from top to bottom.
func putText(t *canvas.Text, text string, s Style, at fyne.Position, box fyne.Size) {
	t.Text, t.TextSize, t.Color, t.Alignment = text, s.size(), s.colour(), s.Align
	t.TextStyle.Bold = s.Bold
	height := t.MinSize().Height
	t.Move(at.AddXY(0, (box.Height-height)/2))
	t.Resize(fyne.NewSize(box.Width, height))
}
