package clf

import "math"

// An Exponent is the node of that name: a power, of one of exponentStyles.
type Exponent struct {
	Style  string
	Params [3]ExponentParams // of red, green, blue
}

// ExponentParams are an exponent's numbers for a channel: g and k of the specification.
type ExponentParams struct {
	Exponent float64
	Offset   float64 // of monCurve styles alone
}

// The styles.
const (
	basicFwd          = "basicFwd"
	basicRev          = "basicRev"
	basicMirrorFwd    = "basicMirrorFwd"
	basicMirrorRev    = "basicMirrorRev"
	basicPassThruFwd  = "basicPassThruFwd"
	basicPassThruRev  = "basicPassThruRev"
	monCurveFwd       = "monCurveFwd"
	monCurveRev       = "monCurveRev"
	monCurveMirrorFwd = "monCurveMirrorFwd"
	monCurveMirrorRev = "monCurveMirrorRev"
)

var exponentStyles = []string{basicFwd, basicRev, basicMirrorFwd, basicMirrorRev, basicPassThruFwd, basicPassThruRev, monCurveFwd, monCurveRev, monCurveMirrorFwd, monCurveMirrorRev}

// isMonCurve reports whether a style has a straight foot, and an offset.
func isMonCurve(style string) bool {
	return style == monCurveFwd || style == monCurveRev || style == monCurveMirrorFwd || style == monCurveMirrorRev
}

// sameExponent is the node with the same numbers for all channels.
func sameExponent(style string, p ExponentParams) Exponent {
	return Exponent{style, [3]ExponentParams{p, p, p}}
}

func (e Exponent) run(v [3]float64) [3]float64 {
	for c, x := range v {
		v[c] = e.Params[c].apply(e.Style, x)
	}
	return v
}

func (p ExponentParams) apply(style string, x float64) float64 {
	below := x < 0
	switch style {
	case basicFwd:
		return math.Pow(max(0, x), p.Exponent)
	case basicRev:
		return math.Pow(max(0, x), 1/p.Exponent)
	case basicMirrorFwd:
		return mirrored(x, func(x float64) float64 { return math.Pow(x, p.Exponent) })
	case basicMirrorRev:
		return mirrored(x, func(x float64) float64 { return math.Pow(x, 1/p.Exponent) })
	case monCurveFwd:
		return p.monCurve(x)
	case monCurveRev:
		return p.monCurveBack(x)
	case monCurveMirrorFwd:
		return mirrored(x, p.monCurve)
	case monCurveMirrorRev:
		return mirrored(x, p.monCurveBack)
	case basicPassThruFwd:
		if !below {
			return math.Pow(x, p.Exponent)
		}
	case basicPassThruRev:
		if !below {
			return math.Pow(x, 1/p.Exponent)
		}
	}
	return x
}

// mirrored is f for x from 0, and turned about the origin below.
func mirrored(x float64, f func(float64) float64) float64 {
	if x < 0 {
		return -f(-x)
	}
	return f(x)
}

// foot is where a monCurve's straight foot ends, as it comes in and as it goes out, and
// the foot's slope. The specification leaves an exponent of 1 and an offset of 0 to the
// reader: these are the limits.
func (p ExponentParams) foot() (in, out, slope float64) {
	g, k := p.Exponent, p.Offset
	switch {
	case g == 1:
		return math.Inf(1), math.Inf(1), 1 / (1 + k)
	case k == 0:
		return 0, 0, 0
	}
	out = math.Pow(k*g/((g-1)*(1+k)), g)
	return k / (g - 1), out, (g - 1) / k * out
}

func (p ExponentParams) monCurve(x float64) float64 {
	in, _, slope := p.foot()
	if x >= in {
		return math.Pow((x+p.Offset)/(1+p.Offset), p.Exponent)
	}
	return x * slope
}

func (p ExponentParams) monCurveBack(y float64) float64 {
	_, out, slope := p.foot()
	if y >= out {
		return (1+p.Offset)*math.Pow(y, 1/p.Exponent) - p.Offset
	}
	if slope == 0 {
		return 0
	}
	return y / slope
}

// A Log is the node of that name: a logarithm or its inverse, of one of logStyles.
type Log struct {
	Style  string
	Params [3]LogParams // of red, green, blue; of no meaning for plain styles
}

// LogParams are a logarithm's numbers for a channel.
type LogParams struct {
	Base                float64
	LogSlope, LogOffset float64 // logSideSlope, logSideOffset
	LinSlope, LinOffset float64 // linSideSlope, linSideOffset
	Break               float64 // linSideBreak: up to it, camera styles are straight
	Straight            float64 // linearSlope: their slope there; 0 for that of the logarithm at Break
}

// plainLog are the specification's defaults.
var plainLog = LogParams{Base: 2, LogSlope: 1, LinSlope: 1}

// The styles.
const (
	log10          = "log10"
	antiLog10      = "antiLog10"
	log2           = "log2"
	antiLog2       = "antiLog2"
	linToLog       = "linToLog"
	logToLin       = "logToLin"
	cameraLinToLog = "cameraLinToLog"
	cameraLogToLin = "cameraLogToLin"
)

var logStyles = []string{log10, antiLog10, log2, antiLog2, linToLog, logToLin, cameraLinToLog, cameraLogToLin}

// hasLogParams reports whether a style has numbers.
func hasLogParams(style string) bool {
	return style == linToLog || style == logToLin || isCamera(style)
}

// isCamera reports whether a style has a straight foot.
func isCamera(style string) bool { return style == cameraLinToLog || style == cameraLogToLin }

// sameLog is the node with the same numbers for all channels.
func sameLog(style string, p LogParams) Log { return Log{style, [3]LogParams{p, p, p}} }

// fltMin is the least that a logarithm is taken of.
const fltMin = 1.175494e-38

func (l Log) run(v [3]float64) [3]float64 {
	for c, x := range v {
		v[c] = l.Params[c].apply(l.Style, x)
	}
	return v
}

func (p LogParams) apply(style string, x float64) float64 {
	switch style {
	case log10:
		return math.Log10(max(x, fltMin))
	case antiLog10:
		return math.Pow(10, x)
	case log2:
		return math.Log2(max(x, fltMin))
	case antiLog2:
		return math.Exp2(x)
	case linToLog:
		return p.log(x)
	case logToLin:
		return p.antiLog(x)
	}
	slope, offset := p.straight()
	if style == cameraLinToLog {
		if x <= p.Break {
			return slope*x + offset
		}
		return p.log(x)
	}
	if x <= p.log(p.Break) {
		return (x - offset) / slope
	}
	return p.antiLog(x)
}

func (p LogParams) log(x float64) float64 {
	return p.LogSlope*math.Log(max(p.LinSlope*x+p.LinOffset, fltMin))/math.Log(p.Base) + p.LogOffset
}

func (p LogParams) antiLog(y float64) float64 {
	return (math.Pow(p.Base, (y-p.LogOffset)/p.LogSlope) - p.LinOffset) / p.LinSlope
}

// straight is the line of a camera style's foot: the specification's linearSlope and
// linearOffset.
func (p LogParams) straight() (slope, offset float64) {
	if slope = p.Straight; slope == 0 {
		slope = p.LogSlope * p.LinSlope / ((p.LinSlope*p.Break + p.LinOffset) * math.Log(p.Base))
	}
	return slope, p.log(p.Break) - slope*p.Break
}
