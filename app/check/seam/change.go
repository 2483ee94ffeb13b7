package seam

import "halocline/colour"

// probes is about how many pixels of the band a grade is tried on: the mean over
// them is within some percent of that over all.
const probes = 2048

// A probe is one such pixel's colour.
type probe struct {
	rgb colour.RGB
	lab colour.Lab
}

// probe takes the probes: pixels of the band, evenly spread.
func (s *Seam) probe(shown *colour.Image) {
	all := 0
	for i := range s.band.strips {
		all += len(s.band.strips[i].pixel)
	}
	stride := max(1, all/probes)
	at := stride / 2
	for i := range s.band.strips {
		strip := &s.band.strips[i]
		for ; at < len(strip.pixel); at += stride {
			x, y := int(strip.pixel[at])%s.band.w, int(strip.pixel[at])/s.band.w
			if c := (probe{rgb: shown.RGB(x, y)}); finite(c.rgb) {
				c.lab = c.rgb.Lab()
				s.probes = append(s.probes, c)
			}
		}
		at -= len(strip.pixel)
	}
}

func finite(c colour.RGB) bool {
	sum := c.R + c.G + c.B
	return sum-sum == 0
}

// Change returns A: by how much a grade, which takes display-encoded colours to
// display-encoded colours, changes the band in the mean, in CIEDE2000. 0: it does
// nothing, as without a trial.
func (s *Seam) Change(grade func(colour.RGB) colour.RGB) float64 {
	sum := 0.0
	for _, p := range s.probes {
		if to := grade(p.rgb); to != p.rgb && finite(to) {
			sum += p.lab.DeltaE(to.Lab())
		}
	}
	return sum / float64(max(1, len(s.probes)))
}
