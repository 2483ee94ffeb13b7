package look

import (
	"math"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Meter is a thin bar: light as far as it stands, grey as far as it could.
type Meter struct {
	widget.BaseWidget
	from, to   float64
	set, could float64
}

// NewMeter is an empty bar over the range from..to.
func NewMeter(from, to float64) *Meter {
	m := &Meter{from: from, to: to, set: math.NaN(), could: math.NaN()}
	m.ExtendBaseWidget(m)
	return m
}

// Set shows how far it stands and how far it could; NaN where not known.
func (m *Meter) Set(set, could float64) {
	m.set, m.could = set, could
	m.Refresh()
}

// SetRange changes the range.
func (m *Meter) SetRange(from, to float64) {
	m.from, m.to = from, to
	m.Refresh()
}

// share of the bar that v fills: 0 where it is not known.
func (m *Meter) share(v float64) float32 {
	if math.IsNaN(v) || m.to <= m.from {
		return 0
	}
	return float32(min(max((v-m.from)/(m.to-m.from), 0), 1))
}

func (m *Meter) CreateRenderer() fyne.WidgetRenderer {
	rail, could, set := canvas.NewRectangle(Plot), canvas.NewRectangle(grey(0x70)), canvas.NewRectangle(Text)
	return &face{of: m, objects: []fyne.CanvasObject{rail, could, set},
		min: func() fyne.Size { return fyne.NewSize(24, 4) },
		draw: func(size fyne.Size) {
			y := (size.Height - 4) / 2
			place(rail, 0, y, size.Width, 4)
			place(could, 0, y, size.Width*m.share(m.could), 4)
			place(set, 0, y, size.Width*m.share(m.set), 4)
		}}
}
