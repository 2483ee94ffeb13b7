package sample

// kdSpacing and kdFirst say where the bands of the Jerlov table lie.
const (
	kdFirst   = 400 // nm
	kdSpacing = 25  // nm
)

// The water types a scene may have: diffuse attenuation of daylight with
// depth, 1/m, every 25 nm from 400 to 700 nm. N. G. Jerlov (1976), Marine
// Optics, 2nd ed., Elsevier, table XXVII.
var jerlov = map[string][13]float64{
	"IB":  {.051, .042, .036, .033, .042, .054, .072, .099, .245, .315, .375, .435, .58},
	"II":  {.096, .081, .068, .062, .07, .076, .089, .115, .26, .335, .4, .465, .61},
	"III": {.185, .16, .135, .116, .115, .116, .12, .148, .295, .375, .445, .52, .66},
	"1C":  {.51, .36, .25, .17, .14, .13, .12, .15, .3, .37, .45, .51, .65},
}

// pureWater is the absorption of pure water, 1/m, every 10 nm from 400 to
// 700 nm. R. M. Pope, E. S. Fry (1997), Applied Optics 36, table 3.
var pureWater = spectrum{
	.00663, .00473, .00454, .00495, .00635, .00922, .00979, .0106, .0127, .015,
	.0204, .0325, .0409, .0434, .0474, .0565, .0619, .0695, .0896, .1351,
	.2224, .2644, .2755, .2916, .3108, .34, .41, .439, .465, .516, .624,
}

// diffuse returns the attenuation of daylight with depth for a water type.
// Between the table's wavelengths what the water's own absorption leaves over
// is interpolated, so that the steep edge near 590 nm stays where it belongs.
func diffuse(kind string) spectrum {
	table := jerlov[kind]
	over := func(i int) float64 {
		return table[i] - absorption(kdFirst+kdSpacing*float64(i))
	}
	var k spectrum
	for b := range k {
		pos := float64(b*bandWidth) / kdSpacing
		i := min(int(pos), len(table)-2)
		k[b] = pureWater[b] + max(0, lerp(over(i), over(i+1), pos-float64(i)))
	}
	return k
}

// absorption returns pureWater at a wavelength in nm.
func absorption(nm float64) float64 {
	pos := (nm - firstBand) / bandWidth
	i := min(int(pos), bands-2)
	return lerp(pureWater[i], pureWater[i+1], pos-float64(i))
}

// beam returns the attenuation of what the camera sees along its line of
// sight: the diffuse one and, the same in every band, the light that particles
// scatter out of the line, in 1/m. Kd itself is no beam attenuation.
func beam(kd spectrum, scatter float64) spectrum {
	for i := range kd {
		kd[i] += scatter
	}
	return kd
}
