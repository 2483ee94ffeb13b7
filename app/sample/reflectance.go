package sample

// The spectra run over the visible range in bands of 10 nm.
const (
	firstBand = 400 // nm
	lastBand  = 700 // nm
	bandWidth = 10  // nm
	bands     = (lastBand-firstBand)/bandWidth + 1
)

// A spectrum has one value for each band: a reflectance in [0,1], a light or
// an attenuation in 1/m.
type spectrum [bands]float64

// Light and dark skin: the first two patches of the 24-patch test chart, mean
// of 30 charts, measured 45/0 by D. Pascale (2006), 10 nm. The chart's patches
// were made to match skin (C. S. McCamy, H. Marcus, J. G. Davidson, "A
// Color-Rendition Chart", J. Appl. Photographic Engineering 2(3), 1976).
var (
	lightSkin = spectrum{
		.175, .191, .196, .199, .204, .213, .228, .251, .280, .309,
		.329, .333, .315, .286, .273, .276, .277, .289, .339, .420,
		.488, .525, .546, .562, .578, .595, .612, .625, .638, .656, .678,
	}
	darkSkin = spectrum{
		.061, .062, .062, .062, .062, .062, .062, .062, .062, .063,
		.065, .070, .076, .079, .081, .084, .091, .103, .119, .134,
		.143, .147, .151, .158, .168, .179, .188, .190, .186, .181, .182,
	}
)

// coralSand is a clean carbonate sand: S. Maritorena, A. Morel, B. Gentili
// (1994), "Diffuse reflectance of oceanic shallow waters", Limnology and
// Oceanography 39, figure 6, as tabulated to 520 nm; from 530 nm on the same
// slope, from memory, to the 0.65 at 700 nm quoted for bright coral sand.
var coralSand = spectrum{
	.281, .291, .302, .314, .326, .339, .351, .362, .373, .383,
	.394, .405, .417, .430, .443, .456, .469, .482, .495, .508,
	.521, .534, .547, .560, .573, .586, .599, .612, .625, .638, .650,
}

// The rest is from memory: the shapes are right, the levels were chosen.
var (
	// quartzSand is a siliceous sand with iron, darker and yellower.
	quartzSand = spectrum{
		.095, .102, .110, .119, .129, .140, .151, .163, .175, .188,
		.202, .216, .231, .246, .262, .278, .294, .308, .320, .330,
		.338, .345, .351, .356, .361, .365, .369, .373, .377, .380, .383,
	}
	// seagrassLeaf is a living blade: chlorophyll leaves green, and a little red.
	seagrassLeaf = spectrum{
		.028, .028, .029, .030, .030, .031, .032, .034, .037, .042,
		.052, .068, .088, .106, .118, .124, .122, .112, .098, .087,
		.078, .073, .069, .064, .058, .052, .045, .038, .036, .050, .090,
	}
	// deadLeaf is an old blade, overgrown and brown.
	deadLeaf = spectrum{
		.040, .042, .044, .047, .050, .054, .058, .063, .069, .076,
		.083, .091, .099, .107, .115, .122, .128, .133, .138, .142,
		.145, .147, .148, .148, .147, .145, .142, .140, .143, .155, .175,
	}
	yellowPlastic = spectrum{
		.050, .050, .050, .052, .055, .060, .070, .090, .130, .200,
		.300, .410, .500, .560, .600, .630, .650, .660, .670, .675,
		.680, .685, .690, .690, .690, .690, .690, .690, .690, .690, .690,
	}
	brownHair = spectrum{
		.018, .018, .019, .019, .020, .021, .022, .023, .024, .025,
		.026, .028, .029, .031, .033, .035, .037, .039, .041, .044,
		.046, .049, .052, .054, .057, .060, .063, .066, .069, .072, .075,
	}
	blueCloth = spectrum{
		.070, .085, .105, .130, .155, .170, .165, .145, .120, .095,
		.072, .055, .044, .037, .033, .030, .029, .028, .028, .028,
		.028, .028, .028, .028, .029, .030, .032, .034, .037, .041, .046,
	}
	tealCloth = spectrum{
		.050, .058, .068, .080, .094, .110, .128, .145, .158, .165,
		.165, .158, .146, .130, .112, .095, .080, .068, .059, .052,
		.047, .044, .042, .041, .041, .042, .044, .046, .049, .053, .058,
	}
)

// grey returns a reflectance that is the same in every band.
func grey(level float64) spectrum {
	var s spectrum
	for i := range s {
		s[i] = level
	}
	return s
}

// scaled returns s times k.
func (s spectrum) scaled(k float64) spectrum {
	for i := range s {
		s[i] *= k
	}
	return s
}

// mixed returns the way u from s to t, u in [0,1].
func (s spectrum) mixed(t spectrum, u float64) spectrum {
	for i := range s {
		s[i] = lerp(s[i], t[i], u)
	}
	return s
}
