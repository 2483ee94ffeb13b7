package scene

import (
	"context"
	"math"
	"sync"
)

// The camera's meter sees the first frame coarsely.
const (
	meterWidth  = 160
	meterHeight = 90
)

// A reading is the mean light of sand and skin, and how far red against green
// strays within the two: the root of the sum of the variances of its logarithm.
type reading struct {
	ground, subject tint
	spread          float64
}

// readings are those of the seeds at hand: a reading is the same whatever the picture's
// size, and takes as long as a small frame.
var readings = struct {
	sync.Mutex
	of map[int]reading // by seed
}{of: map[int]reading{}}

// readingOf returns the meter's reading of a seed's first frame.
func readingOf(ctx context.Context, seed int) (reading, error) {
	readings.Lock()
	r, ok := readings.of[seed]
	readings.Unlock()
	if ok {
		return r, nil
	}
	r, err := metered(ctx, stage(seed, meterWidth, meterHeight, even))
	if err == nil {
		readings.Lock()
		readings.of[seed] = r
		readings.Unlock()
	}
	return r, err
}

// metered reads a scene's first frame.
func metered(ctx context.Context, small *scene) (r reading, err error) {
	l, err := small.moment(1).develop(ctx, 1)
	if err != nil {
		return r, err
	}
	r.ground, r.subject = l.meanOf(sandCover), l.meanOf(skinCover)
	r.spread = math.Hypot(l.straying(sandCover), l.straying(skinCover))
	return r, nil
}

// stain returns how far the sand has to be moved so that the mean of the frame,
// not just a surface at arm's length, has the likeness wanted.
func (r reading) stain() tint {
	k := even
	want := tint{redder(r.spread), 1, bluer}
	for _, c := range [2]int{red, blue} {
		k[c] = dial(want[c] / (r.subject[c] / r.subject[1] / (r.ground[c] / r.ground[1])))
	}
	return k
}

// set sets exposure and white balance as a camera does by itself, from what it
// read, and keeps them. Exposure brings the sand to a middle level; the gains
// take out most of the cast of what it takes for its subject, so that the
// picture stays green and flat, but not dark. Until then s.exposure is the
// level wanted.
func (s *scene) set(r reading) {
	s.exposure = dial(s.exposure / r.ground[1])
	for c := range s.gains {
		s.gains[c] = dial(s.cast[c] * r.subject[1] / r.subject[c])
	}
}

// dial rounds a setting to three digits after the point, as a camera's dials
// do, so that no last bit of the reading gets into every pixel.
func dial(v float64) float64 { return math.Round(v*1e3) / 1e3 }

// meanOf returns the mean light where a class covers more than nine tenths.
func (l *layer) meanOf(class int) (sum tint) {
	n := 0.0
	for i, v := range l.planes[class].Pix {
		if v <= 0.9 {
			continue
		}
		n++
		for c := range sum {
			sum[c] += float64(l.planes[c].Pix[i])
		}
	}
	return sum.mul(1 / max(n, 1))
}

// straying returns the standard deviation of the logarithm of red over green
// where a class covers more than nine tenths.
func (l *layer) straying(class int) float64 {
	var n, sum, squares float64
	for i, v := range l.planes[class].Pix {
		if v > 0.9 {
			r := math.Log(float64(l.planes[red].Pix[i] / l.planes[green].Pix[i]))
			n, sum, squares = n+1, sum+r, squares+r*r
		}
	}
	n = max(n, 1)
	return math.Sqrt(max(0, squares/n-sum*sum/(n*n)))
}
