package colour

import (
	"fmt"
	"math"
	"strings"
)

// A WaterType says how fast a kind of sea water takes the light of each channel.
type WaterType struct {
	Name     string     // Jerlov's: I to III open ocean, 1C to 9C coast
	Residual [3]float64 // share of R, G, B left after one metre
}

// waterTypes: C. Li, S. Anwar, F. Porikli, "Underwater scene prior inspired
// deep underwater image and video enhancement", Pattern Recognition 98:107038,
// 2020, Table 1: normalised residual energy ratios for the types of
// N. G. Jerlov, Marine Optics, 1976. The figures were read from a published
// implementation that numbers the types 1 to 10; that these are I to 9C in
// order, and the table's number, are from memory.
var waterTypes = [...]WaterType{
	{"I", [3]float64{0.805, 0.961, 0.982}},
	{"IA", [3]float64{0.804, 0.955, 0.975}},
	{"IB", [3]float64{0.83, 0.95, 0.968}},
	{"II", [3]float64{0.8, 0.925, 0.94}},
	{"III", [3]float64{0.75, 0.885, 0.89}},
	{"1C", [3]float64{0.75, 0.885, 0.875}},
	{"3C", [3]float64{0.71, 0.82, 0.8}},
	{"5C", [3]float64{0.67, 0.73, 0.67}},
	{"7C", [3]float64{0.62, 0.61, 0.5}},
	{"9C", [3]float64{0.55, 0.46, 0.29}},
}

// WaterNames returns the names of the types in their order.
func WaterNames() []string {
	names := make([]string, len(waterTypes))
	for i, w := range waterTypes {
		names[i] = w.Name
	}
	return names
}

// WaterByName returns the type of that name, without regard to case.
func WaterByName(name string) (WaterType, error) {
	for _, w := range waterTypes {
		if strings.EqualFold(name, w.Name) {
			return w, nil
		}
	}
	return WaterType{}, fmt.Errorf("colour: water type is %q, want one of %s", name, strings.Join(WaterNames(), ", "))
}

// Beta returns the attenuation of R, G, B in 1/m: -ln of the residual.
func (w WaterType) Beta() (beta [3]float64) {
	for c, left := range w.Residual {
		beta[c] = -math.Log(left)
	}
	return beta
}
