package check_test

import (
	"context"
	"encoding/json"
	"fmt"

	"halocline/app/check"
	"halocline/colour"
)

func ExampleScore() {
	matte := colour.Plane{W: 4, H: 1, Pix: []float32{0, 0.25, 1, 1}}
	truth := colour.Plane{W: 4, H: 1, Pix: []float32{0, 0, 1, 0.5}}
	unknown := colour.Plane{W: 4, H: 1, Pix: []float32{0, 0, 0, 1}}
	s, err := check.Score(context.Background(), matte, truth, &unknown)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d pixels, SAD %.2f, IoU %.2f\n", s.Pixels, s.SAD, *s.IoU)

	nothing := colour.NewPlane(4, 1)
	s, _ = check.Score(context.Background(), nothing, nothing, nil)
	text, _ := json.Marshal(s.Undefined)
	fmt.Println(string(text))
	// Output:
	// 3 pixels, SAD 0.25, IoU 0.80
	// {"balancedAccuracy":"no pixel of the truth is in","iou":"both the matte and the truth are empty"}
}
