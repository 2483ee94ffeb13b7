package shot

import "halocline/app/check/seam"

// A Summary is what a shot's figures come to.
type Summary struct {
	Judged   int // frames that have figures
	Unjudged int // frames that could not be judged
	Stale    int // frames whose figures are those from before an edit
	// Vanishes and Doubles are the frames on which the matte does.
	Vanishes, Doubles []int
	Bites             []int // the frames on which the pick bites into its masks
	// Figures over the frames that have them; nil where none has.
	Area, EdgeWidth, Specks, Holes       *Range
	Band, Dropped, Leak, Flicker, Change *Range
	CarriedChange                        *Range
	Core, MaskedEdge, Confidence         *Range
	Rim, Bleed, Misfit                   *Range
	IoU, DTSSD                           *Range
}

// A Range is what one figure comes to over the frames that have it.
type Range struct {
	Frames int     `json:"frames"`
	Mean   float64 `json:"mean"`
	Median float64 `json:"median"`
	Least  float64 `json:"least"`
	Most   float64 `json:"most"`
}

func summary(all []Judged) (s Summary) {
	for i := range all {
		j := &all[i]
		if j.Stale {
			s.Stale++
		}
		if j.Err != nil {
			s.Unjudged++
			continue
		}
		s.Judged++
		if j.Vanishes {
			s.Vanishes = append(s.Vanishes, j.Number)
		}
		if j.Bite.Bites() {
			s.Bites = append(s.Bites, j.Number)
		}
		if j.Doubles {
			s.Doubles = append(s.Doubles, j.Number)
		}
	}
	for _, r := range []struct {
		to *(*Range)
		of func(j *Judged) *float64
	}{
		{&s.Area, func(f *Judged) *float64 { return &f.Area }},
		{&s.EdgeWidth, func(f *Judged) *float64 { return &f.EdgeWidth }},
		{&s.Specks, func(f *Judged) *float64 { return pointer(float64(f.Specks)) }},
		{&s.Holes, func(f *Judged) *float64 { return pointer(float64(f.Holes)) }},
		{&s.Band, func(f *Judged) *float64 { return f.Band }},
		{&s.Dropped, func(f *Judged) *float64 { return f.Dropped }},
		{&s.Leak, func(f *Judged) *float64 { return f.Leak() }},
		{&s.Core, func(f *Judged) *float64 { return f.Core }},
		{&s.Flicker, func(f *Judged) *float64 { return f.Flicker }},
		{&s.CarriedChange, func(f *Judged) *float64 { return f.CarriedChange }},
		{&s.Change, func(f *Judged) *float64 { return f.Change }},
		{&s.MaskedEdge, func(f *Judged) *float64 { return f.MaskedEdge }},
		{&s.Confidence, func(f *Judged) *float64 { return f.Confidence }},
		{&s.Rim, ofSeam(func(f *seam.Figures) *float64 { return &f.Rim })},
		{&s.Bleed, ofSeam(func(f *seam.Figures) *float64 { return &f.Bleed })},
		{&s.Misfit, ofSeam(func(f *seam.Figures) *float64 { return &f.Misfit })},
		{&s.IoU, func(f *Judged) *float64 { return f.IoU }},
		{&s.DTSSD, func(f *Judged) *float64 { return f.DTSSD }},
	} {
		*r.to = rangeOf(all, r.of)
	}
	return s
}

// rangeOf returns what a figure comes to; nil where no frame has it.
func rangeOf(all []Judged, of func(j *Judged) *float64) *Range {
	var values []float64
	var sum float64
	for i := range all {
		if v := all[i].figure(trait{of: of}); v != nil {
			values = append(values, *v)
			sum += *v
		}
	}
	if len(values) == 0 {
		return nil
	}
	n := len(values)
	middle := median(values)
	return &Range{n, sum / float64(n), middle, values[0], values[n-1]}
}

// ofSeam returns a figure of frames that have a seam.
func ofSeam(of func(f *seam.Figures) *float64) func(j *Judged) *float64 {
	return func(j *Judged) *float64 {
		if j.Seam == nil {
			return nil
		}
		return of(j.Seam)
	}
}
