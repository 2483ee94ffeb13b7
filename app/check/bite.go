package check

import (
	"context"
	"fmt"

	"halocline/colour"
	"halocline/selection"
)

// A Bite says how much a pick leaves out of what looks like its keep dabs, deep inside its masks.
// There the mask alone would keep all.
type Bite struct {
	Inside int     `json:"inside"` // pixels that are deep inside
	Like   float64 `json:"like"`   // the share of them that looks like the keep dabs, in [0,1]
	Kept   float64 `json:"kept"`   // the mean alpha of these, in [0,1]; 0 where there are none
}

// What a pick has to leave out, and of what, to be told. On one frame of 20 scenes, masks led to
// the edge, 1 to 3 dabs of each kind: of 165 picks that were told 158 made the matte worse than the
// mask. Of 283 that cost more than .05 of IoU 150 were told. Told are masks about what is kept, not
// those about more.
const (
	biteLeast = 500 // pixels that look like the keep dabs; of fewer nothing is known
	biteLike  = 0.6 // share: of a mask about more than what is kept nothing is known either
	biteKept  = 0.9 // mean alpha: from there on it is the edge that tells
)

// Known reports whether enough lies inside that looks like the keep dabs.
func (b *Bite) Known() bool {
	return b != nil && b.Like*float64(b.Inside) >= biteLeast && b.Like >= biteLike
}

// Bites reports whether the pick leaves out so much that the mask alone would be better, as far as
// can be told.
func (b *Bite) Bites() bool { return b.Known() && b.Kept < biteKept }

// Words say what the pick leaves out and what to do; "" where it does not bite.
func (b *Bite) Words() string {
	if !b.Bites() {
		return ""
	}
	return fmt.Sprintf("the pick leaves out %s of the inside of its mask: more dabs, or the mask alone", b.LeftOut())
}

// LeftOut is the share that the pick leaves out, in words.
func (b *Bite) LeftOut() string { return fmt.Sprintf("%.0f %%", 100*(1-b.Kept)) }

// MeasureBite compares a pick's matte with what its dabs show, where deep is 1: deep inside the masks. All
// are planes of one size, of the picture that the pick read. nil: there is no keep dab. What looks
// like the keep dabs is what Likeness.Kept says. It fails where ctx ends.
func MeasureBite(ctx context.Context, matte, deep colour.Plane, picture *colour.Image, dabs []selection.Dab, workers int) (*Bite, error) {
	likeness := LikenessOf(dabs)
	if keep, _ := likeness.Dabs(); keep == 0 {
		return nil, nil
	}
	rows := make([]biteRow, matte.H)
	err := colour.EachStrip(ctx, workers, matte.H, 1, func(y, _ int) { rows[y] = measureBite(matte, deep, picture, likeness, y) })
	if err != nil {
		return nil, fmt.Errorf("check: %w", err)
	}
	sum := biteRow{}
	for _, r := range rows { // in order, for any number of workers
		sum.inside, sum.like, sum.kept = sum.inside+r.inside, sum.like+r.like, sum.kept+r.kept
	}
	b := &Bite{Inside: sum.inside}
	if sum.like > 0 {
		b.Like, b.Kept = float64(sum.like)/float64(sum.inside), sum.kept/float64(sum.like)
	}
	return b, nil
}

// biteRow is one row's part in a Bite.
type biteRow struct {
	inside, like int
	kept         float64
}

func measureBite(matte, deep colour.Plane, picture *colour.Image, likeness *Likeness, y int) (r biteRow) {
	var lab [3][]float32
	for x, w := range deep.Row(y) {
		if w != 1 {
			continue
		}
		if lab[0] == nil {
			for c := range lab {
				lab[c] = make([]float32, deep.W)
			}
			colour.LabRow(lab[0], lab[1], lab[2], picture.R.Row(y), picture.G.Row(y), picture.B.Row(y))
		}
		r.inside++
		if likeness.Kept(colour.Lab{L: float64(lab[0][x]), A: float64(lab[1][x]), B: float64(lab[2][x])}) {
			r.like++
			r.kept += float64(matte.At(x, y))
		}
	}
	return r
}
