package mask_test

import (
	"context"
	"fmt"

	"halocline/colour"
	"halocline/mask"
)

// A feathered arrow, 30 x 20 pixels.
func ExampleShape_Draw() {
	arrow := mask.Shape{
		Points: []mask.Point{{X: 3, Y: 3}, {X: 27, Y: 10}, {X: 3, Y: 17}, {X: 10, Y: 10}},
		Inner:  1.5, Outer: 1.5, Opacity: 1,
	}
	var weights colour.Plane
	if err := arrow.Draw(context.Background(), &weights, mask.Whole(30, 20), 0); err != nil {
		fmt.Println(err)
		return
	}
	for y := range weights.H {
		line := make([]byte, weights.W)
		for x, v := range weights.Row(y) {
			line[x] = " .:+#"[int(v*4.999)]
		}
		fmt.Printf("|%s|\n", line)
	}
	// Output:
	// |                              |
	// |                              |
	// |   .                          |
	// |   ::..                       |
	// |    :#+::.                    |
	// |     :###++:..                |
	// |      :######+::.             |
	// |       :########++:..         |
	// |        :###########+::.      |
	// |         :#############++:.   |
	// |         :#############++:.   |
	// |        :###########+::.      |
	// |       :########++:..         |
	// |      :######+::.             |
	// |     :###++:..                |
	// |    :#+::.                    |
	// |   ::..                       |
	// |   .                          |
	// |                              |
	// |                              |
}

// A square that travels down and opens its feather over ten frames.
func ExampleTrack() {
	square := func(x, y float64) []mask.Point {
		return []mask.Point{{X: x, Y: y}, {X: x + 8, Y: y}, {X: x + 8, Y: y + 8}, {X: x, Y: y + 8}}
	}
	var t mask.Track
	t.SetKey(mask.Key{Frame: 1, Way: mask.Curved, Points: square(4, 0), Opacity: 1})
	t.SetKey(mask.Key{Frame: 11, Points: square(4, 100), Outer: 6, Opacity: 1})
	for _, frame := range []int{0, 1, 6, 11, 20} {
		s := t.At(frame)
		fmt.Printf("frame %2d: first point (%g, %g), feather %g\n", frame, s.Points[0].X, s.Points[0].Y, s.Outer)
	}
	// Output:
	// frame  0: first point (4, 0), feather 0
	// frame  1: first point (4, 0), feather 0
	// frame  6: first point (4, 50), feather 3
	// frame 11: first point (4, 100), feather 6
	// frame 20: first point (4, 100), feather 6
}
