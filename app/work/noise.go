package work

import (
	"context"

	"halocline/app/clip"
	"halocline/colour"
)

// StartRate is the frame rate of a sequence, as a fraction: its files say none.
var StartRate = [2]int{25, 1}

// noiseFrames is how many frames a clip's noise is measured on: enough that two
// with rain or a title in them do not move the median.
const noiseFrames = 5

// measureNoise returns the median over frames spread evenly over the footage,
// its first and last among them. Frames but the first may fail: left says why.
func measureNoise(ctx context.Context, footage *clip.Clip) (noise [3]float64, left []error, err error) {
	var measured [][3]float64
	for _, n := range Spread(footage.Frames(), noiseFrames) {
		m, err := footage.Frame(ctx, n)
		switch {
		case err == nil:
			measured = append(measured, colour.Noise(m))
		case ctx.Err() != nil || n == footage.First():
			return noise, nil, err
		default:
			left = append(left, err)
		}
	}
	return Readable(colour.MedianNoise(measured)), left, nil
}

// Spread returns up to n of the frames, evenly spread, the first and last among
// them.
func Spread(frames []int, n int) []int {
	if len(frames) <= n {
		return frames
	}
	out := make([]int, n)
	for i := range out {
		out[i] = frames[i*(len(frames)-1)/(n-1)]
	}
	return out
}
