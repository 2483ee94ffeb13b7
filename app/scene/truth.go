package scene

// Haze takes the sand from its matte as the transmission of green light falls
// from hazeBegins to hazeEnds: until then it is sand, then it is water.
const (
	hazeBegins = 0.5
	hazeEnds   = 0.2
)

// sandLeft returns how much of the sand's coverage still counts as sand at a
// transmission of green light; the rest counts as water.
func sandLeft(transmission float64) float64 {
	return smoothstep(hazeEnds, hazeBegins, transmission)
}

// A sampleOf is the light of a piece of the picture and what it belongs to, all
// multiplied by the area it covers: 0 to 1.
type sampleOf struct {
	light             tint
	skin, sand, water float64
	swimmer           float64 // skin, clothes and what they carry
	cover             float64
}

// pure returns a sample that covers its piece whole.
func pure(light tint, of Class) sampleOf {
	s := sampleOf{light: light, cover: 1}
	switch of {
	case Skin:
		s.skin = 1
	case Sand:
		s.sand = 1
	case Water:
		s.water = 1
	}
	return s
}

// over lays s, of which only the part cover counts, over what lies below.
func (s sampleOf) over(below sampleOf, cover float64) sampleOf {
	keep := 1 - cover*s.cover
	return sampleOf{
		light:   s.light.mul(cover).add(below.light.mul(keep)),
		skin:    cover*s.skin + keep*below.skin,
		sand:    cover*s.sand + keep*below.sand,
		water:   cover*s.water + keep*below.water,
		swimmer: cover*s.swimmer + keep*below.swimmer,
		cover:   cover*s.cover + keep*below.cover,
	}
}

// plus adds the part k of t to s.
func (s sampleOf) plus(t sampleOf, k float64) sampleOf {
	return sampleOf{
		light:   s.light.add(t.light.mul(k)),
		skin:    s.skin + k*t.skin,
		sand:    s.sand + k*t.sand,
		water:   s.water + k*t.water,
		swimmer: s.swimmer + k*t.swimmer,
		cover:   s.cover + k*t.cover,
	}
}
