package colour_test

import (
	"context"
	"fmt"

	"halocline/colour"
)

func ExampleRGB_LCh() {
	sand := colour.RGB{R: 0.82, G: 0.74, B: 0.58}
	lch, ok := sand.LCh()
	fmt.Printf("L %.1f, chroma %.1f, hue %.0f degrees: %v\n", lch.L, lch.C, lch.H, ok)

	_, ok = colour.RGB{R: 0.5, G: 0.5, B: 0.5}.LCh()
	fmt.Println("a grey has a hue:", ok)
	// Output:
	// L 77.3, chroma 23.3, hue 87 degrees: true
	// a grey has a hue: false
}

func ExampleDegrees_ArcTo() {
	fmt.Println(colour.Degrees(350).ArcTo(20), colour.Degrees(20).ArcTo(350))
	// Output: 30 -30
}

func ExampleLab_DeltaE() {
	seagrass := colour.RGB{R: 0.30, G: 0.42, B: 0.25}.Lab()
	algae := colour.RGB{R: 0.32, G: 0.42, B: 0.25}.Lab()
	fmt.Printf("%.1f\n", seagrass.DeltaE(algae))
	// Output: 1.3
}

// A grey slate seen through three metres of coastal water comes back grey.
func ExampleBase_PickGrey() {
	water, err := colour.WaterByName("3C")
	if err != nil {
		fmt.Println(err)
		return
	}
	b := colour.Neutral()
	b.Beta, b.Path = water.Beta(), 3
	b.Veil = colour.VeilFrom([3]float64{0.01, 0.12, 0.14}) // a sample of open water
	slate := [3]float64{0.07, 0.17, 0.18}                  // a sample of the slate
	b, err = b.PickGrey(slate)
	if err != nil {
		fmt.Println(err)
		return
	}
	c := b.Colour(colour.RGB{R: colour.Encoded(slate[0]), G: colour.Encoded(slate[1]), B: colour.Encoded(slate[2])})
	fmt.Printf("gains %.2f\n", b.Gains)
	fmt.Println(colour.Code8(float32(c.R)), colour.Code8(float32(c.G)), colour.Code8(float32(c.B)))
	// Output:
	// gains [1.15 0.97 0.94]
	// 125 125 125
}

func ExampleSmoother() {
	frame, smoothed := colour.NewImage(64, 48), &colour.Image{}
	noise := colour.Noise(frame)
	var s colour.Smoother // keeps its buffers from frame to frame
	if err := s.SmoothNoise(context.Background(), smoothed, frame, noise, 0); err != nil {
		fmt.Println(err)
		return
	}
	w, h := smoothed.Size()
	fmt.Printf("%d x %d, range sigma %.2f\n", w, h, colour.SmoothSigma(noise))
	// Output: 64 x 48, range sigma 0.04
}
