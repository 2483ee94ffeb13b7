package batch

import (
	"halocline/app/study"
	"halocline/mask"
)

// What is printed of masks, as JSON.

type maskReport struct {
	Name    string      `json:"name"`
	Kind    string      `json:"kind"`
	Rounded bool        `json:"rounded"`
	Off     bool        `json:"off,omitempty"`
	Search  float64     `json:"search,omitempty"` // how deep the edge is searched for, in pixels
	Before  string      `json:"before,omitempty"` // the first key: "follow"; it holds without
	After   string      `json:"after,omitempty"`  // the last key
	Keys    []keyReport `json:"keys"`
}

type keyReport struct {
	Frame   int          `json:"frame"`
	Points  [][2]float64 `json:"points"`
	Inner   float64      `json:"featherInwardPixels"`
	Outer   float64      `json:"featherOutwardPixels"`
	Opacity float64      `json:"opacity"`
	Tight   bool         `json:"tight,omitempty"` // the outline lies on the edge
	Way     string       `json:"way,omitempty"`   // to the next key; straight without
}

func reportMasks(masks []study.Mask) []maskReport {
	out := []maskReport{}
	for _, m := range masks {
		r := maskReport{Name: m.Name, Kind: m.Kind.String(), Rounded: m.Rounded, Off: m.Off, Search: m.Search}
		r.Before, r.After = beyondEntry(m.Before), beyondEntry(m.After)
		for _, k := range m.Keys {
			key := keyReport{Frame: k.Frame, Inner: k.Inner, Outer: k.Outer, Opacity: k.Opacity, Tight: k.Tight}
			if k.Way != mask.Straight {
				key.Way = k.Way.String()
			}
			for _, p := range k.Points {
				key.Points = append(key.Points, [2]float64{p.X, p.Y})
			}
			r.Keys = append(r.Keys, key)
		}
		out = append(out, r)
	}
	return out
}

// beyondEntry is what a report says of frames beyond a mask's keys, "" where it holds there.
func beyondEntry(b mask.Beyond) string {
	if b == mask.Holds {
		return ""
	}
	return b.String()
}

// dabReport is a dab, as it stands in a study's file.
type dabReport struct {
	Frame  int     `json:"frame"`
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Radius float64 `json:"radius"`
	Kind   string  `json:"kind"`
}

func reportDabs(dabs []study.Dab) (out []dabReport) {
	for _, d := range dabs {
		out = append(out, dabReport{d.Frame, d.X, d.Y, d.Radius, d.Kind.String()})
	}
	return out
}
