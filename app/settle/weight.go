package settle

import "math"

const (
	// farthest is the squared miss from which a frame beside has no part: its weight would be
	// 6e-6, a fiftieth of half a step of a 12-bit matte.
	farthest = 12
	// perSquare is the steps of the table for one square pixel: by a line between them a weight
	// is within 2e-6. TestWeights holds it against the formula.
	perSquare = 256
)

// weights is exp(-miss^2) over squared misses. A table of rounded values has the same bits on
// every processor.
var weights = func() (t [farthest*perSquare + 1]float32) {
	for i := range t {
		t[i] = float32(math.Exp(-float64(i) / perSquare))
	}
	return t
}()

// weight is exp(-miss) of a squared miss in square pixels.
func weight(miss float32) float32 {
	if !(miss < farthest) {
		return 0
	}
	at := miss * perSquare
	i := int(at)
	return weights[i] + float32((at-float32(i))*(weights[i+1]-weights[i]))
}
