package batch

import (
	"math"

	"halocline/app/study"
	"halocline/selection"
)

// What the verbs print, as JSON.

type pickReport struct {
	Model      string       `json:"model"`
	Hue        *limitReport `json:"hue,omitempty"`
	Saturation *limitReport `json:"saturation,omitempty"`
	Chroma     *limitReport `json:"chroma,omitempty"`
	Lightness  *limitReport `json:"lightness,omitempty"`
	Plane      *planeReport `json:"plane,omitempty"` // in place of the others
}

// planeReport is the range across a plane, named as in a study's file.
type planeReport struct {
	Normal     [3]float64 `json:"normal"` // in L*, a*, b*
	Level      float64    `json:"level"`
	FadeBefore float64    `json:"fadeBefore"`
	FadeAfter  float64    `json:"fadeAfter"`
	Off        bool       `json:"off,omitempty"`
	Inverted   bool       `json:"inverted,omitempty"`
}

type limitReport struct {
	From       float64 `json:"from"`
	To         float64 `json:"to"`
	FadeBefore float64 `json:"fadeBefore"`
	FadeAfter  float64 `json:"fadeAfter"`
	Off        bool    `json:"off,omitempty"`
	Inverted   bool    `json:"inverted,omitempty"`
}

func reportLimit(l selection.Limit) *limitReport {
	return &limitReport{l.From, l.To, l.Before, l.After, l.Off, l.Inverted}
}

func reportPick(p selection.Pick) pickReport {
	out := pickReport{Model: p.Model.String()}
	if p.Model == selection.PlaneModel {
		l := p.Limits[selection.Across]
		out.Plane = &planeReport{p.Normal, l.From, l.Before, l.After, l.Off, l.Inverted}
		return out
	}
	out.Hue, out.Lightness = reportLimit(p.Limits[selection.Hue]), reportLimit(p.Limits[selection.Light])
	if p.Model == selection.LCh {
		out.Chroma = reportLimit(p.Limits[selection.Sat])
	} else {
		out.Saturation = reportLimit(p.Limits[selection.Sat])
	}
	return out
}

type baseReport struct {
	Input    string     `json:"input"` // the source's curve
	Water    string     `json:"water,omitempty"`
	Path     float64    `json:"pathMetres"`
	Veil     [3]float64 `json:"veil"`  // linear light
	Black    [3]float64 `json:"black"` // linear light; where it is above 0 it takes the veil's place
	Gains    [3]float64 `json:"gains"` // red, green, blue
	Exposure float64    `json:"exposureStops"`
	Contrast float64    `json:"contrast"`
	Pivot    float64    `json:"pivot"`
}

func reportBase(s *study.Study, frame int) baseReport {
	b := s.Base.At(frame)
	return baseReport{s.Base.Input.String(), s.Base.Water, b.Path, b.Veil, b.Black, b.Gains, b.Exposure, b.Contrast, b.Pivot}
}

type separationReport struct {
	Sentence string                        `json:"sentence"`
	Keep     int                           `json:"keepDabs"`
	Drop     int                           `json:"dropDabs"`
	Channels map[string]separabilityReport `json:"channels"`
	Pick     separabilityReport            `json:"pick"`
	Plane    separabilityReport            `json:"plane"` // Fisher's, in CIELAB: the ceiling
	// Offer says how much better a pick by plane tells the dabs apart, where it is worth trying.
	Offer  string        `json:"offer,omitempty"`
	Strays *straysReport `json:"strays,omitempty"`
}

// separabilityReport leaves out what could be where there are too few dabs to tell.
type separabilityReport struct {
	Could *selection.Estimate `json:"could,omitempty"`
	Set   selection.Estimate  `json:"set"`
}

func reportSeparation(s selection.Separation) separationReport {
	report := func(p selection.Separability) separabilityReport {
		out := separabilityReport{Set: rounded(p.Set)}
		if s.Enough() {
			could := rounded(p.Could)
			out.Could = &could
		}
		return out
	}
	out := separationReport{
		Sentence: s.Sentence(), Keep: s.Keep, Drop: s.Drop,
		Channels: map[string]separabilityReport{}, Pick: report(s.Pick), Plane: report(s.Plane), Offer: s.Offer(),
	}
	for _, c := range s.Model.Channels() {
		out.Channels[c.Name(s.Model)] = report(s.Channels[c])
	}
	return out
}

// rounded leaves an estimate the four decimals that it bears at the most.
func rounded(e selection.Estimate) selection.Estimate {
	r := func(v float64) float64 { return math.Round(v*1e4) / 1e4 }
	return selection.Estimate{Value: r(e.Value), Low: r(e.Low), High: r(e.High)}
}

// orNull returns v, or nil where it is NaN, which JSON cannot say.
func orNull(v float64) *float64 {
	if math.IsNaN(v) {
		return nil
	}
	return &v
}
