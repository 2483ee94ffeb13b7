package render

import "slices"

// A mask picture is drawn by hand or made by a program, and either may leave white
// specks that nobody meant to sample. A dab counts the same however small it is,
// so a few specks in wrong places would outweigh the places that were meant.

const (
	// speck is the area, in pixels, below which a part of a mask picture counts as a
	// speck. The least dab that a hand sets well, of radius 2.5, has more.
	speck = 16
	// straysShare is the largest share of a mask picture's pixels that specks may have to
	// be left out: beyond it they are what the picture has to say.
	straysShare = 0.1
	// setByHand is the largest number of specks that count as dabs where nothing larger is
	// there: the discs that a person sets in a very small picture.
	setByHand = 12
)

// Strays are the specks of a mask picture, its parts of less than 16 pixels.
type Strays struct {
	Areas  int
	Pixels int  // of all of them
	Pooled bool // they are sampled as one area, else left out
}

// withoutStrays leaves out specks where they have at most a tenth of the pixels. Else
// it makes one area of them all, the last. Up to twelve specks stay as they are where
// nothing larger is there.
func withoutStrays(areas []Area) ([]Area, Strays) {
	var large []Area
	var specks Area
	var s Strays
	all := 0
	for _, a := range areas {
		all += len(a.Pixels)
		if a.cut || len(a.Pixels) >= speck {
			large = append(large, a)
			continue
		}
		s.Areas++
		s.Pixels += len(a.Pixels)
		specks.Pixels = append(specks.Pixels, a.Pixels...)
	}
	switch {
	case s.Areas == 0, len(large) == 0 && s.Areas <= setByHand:
		return areas, Strays{}
	case float64(s.Pixels) <= straysShare*float64(all):
		return large, s
	}
	s.Pooled = true
	slices.Sort(specks.Pixels)
	return append(large, specks), s
}
