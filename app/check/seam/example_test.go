package seam_test

import (
	"context"
	"fmt"

	"halocline/app/check/seam"
	"halocline/colour"
	"halocline/selection"
)

// A hard matte on an edge that fades over 6 px, under a grade that lightens by a
// fifth: it shows as an edge until it is softened as much as the picture is.
func ExampleSeam_Sweep() {
	ctx := context.Background()
	hard, shown := colour.NewPlane(640, 100), colour.NewImage(640, 100)
	for y := range hard.H {
		for x := range hard.W {
			inner := min(max((323-float32(x)-0.5)/6, 0), 1)
			shown.R.Row(y)[x], shown.G.Row(y)[x], shown.B.Row(y)[x] = 0.4+0.2*inner, 0.45, 0.5-0.2*inner
			if x < 320 {
				hard.Row(y)[x] = 1
			}
		}
	}
	s, err := seam.New(ctx, shown, hard, 0, 1)
	if err != nil {
		fmt.Println(err)
		return
	}
	grade := colour.NeutralCDL()
	grade.Slope = [3]float64{1.2, 1.2, 1.2}
	var t selection.Treatment
	sweep, err := s.Sweep(ctx, []float64{0, 1, 2, 3, 4}, s.Change(grade.Colour), 1, func(ctx context.Context, softenPx float64) (colour.Plane, error) {
		var soft colour.Plane
		err := t.Apply(ctx, &soft, &hard, nil, nil, selection.Edge{Soften: softenPx, About: 0.5}, 1, 1)
		return soft, err
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, f := range sweep.Figures {
		fmt.Printf("soften %v: rim %.2f, bleed %.2f, misfit %.2f\n", sweep.Softness[i], f.Rim, f.Bleed, f.Misfit)
	}
	fmt.Printf("least misfit at %.1f px\n", sweep.Best)
	// Output:
	// soften 0: rim 1.11, bleed 0.00, misfit 1.27
	// soften 1: rim 0.57, bleed 0.00, misfit 0.61
	// soften 2: rim 0.06, bleed 0.11, misfit 0.15
	// soften 3: rim 0.00, bleed 0.66, misfit 0.51
	// soften 4: rim 0.00, bleed 1.25, misfit 0.86
	// least misfit at 2.1 px
}
