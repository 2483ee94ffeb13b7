package guided_test

import (
	"context"
	"fmt"

	"halocline/colour"
	"halocline/colour/guided"
)

// A matte's edge lies two pixels to the right of that of the picture, which draws it over.
func ExampleFilter() {
	src, guide := colour.NewPlane(16, 5), colour.NewImage(16, 5)
	for i := range src.Pix {
		if i%16 >= 7 {
			guide.R.Pix[i], guide.G.Pix[i] = 0.8, 0.3
		}
		if i%16 >= 9 {
			src.Pix[i] = 1
		}
	}
	dst := colour.NewPlane(16, 5)
	windows := guided.Windows{Radius: 4, Eps: 1e-4, Stride: 1}
	err := new(guided.Filter).Run(context.Background(), &dst, &src, guide, colour.Domain{Box: src.Bounds()}, windows, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, row := range [][]float32{src.Row(2), dst.Row(2)} {
		for _, v := range row {
			fmt.Print(string(".:+%#"[int(4*v+0.5)]))
		}
		fmt.Println()
	}
	// Output:
	// .........#######
	// .......++%%%%%##
}
