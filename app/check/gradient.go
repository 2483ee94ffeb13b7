package check

import (
	"context"
	"math"

	"halocline/colour"
)

// gradientSigma is that of the kernel's Gaussian.
const gradientSigma = 1.4

// gradientReach is how many pixels the kernel reaches each way, to the first whole one at
// which the Gaussian is below 0.01: ceil(sigma sqrt(-2 ln(0.01 sqrt(2 pi) sigma))).
// TestGradientKernel checks that.
const gradientReach = 4

// A kernel is the derivative of a Gaussian along x as a product: bell down,
// slope across. The other derivative is its transpose. Entry i weighs what lies
// i pixels away; the bell is even, the slope odd.
type kernel struct {
	bell, slope [gradientReach + 1]float32
}

// gradientKernel has an L2 norm of 1 over its whole square.
var gradientKernel = func() (k kernel) {
	var bell, slope [gradientReach + 1]float64
	var bells, slopes float64 // sums of squares
	for i := range bell {
		x, twice := float64(i), 2.0
		if i == 0 {
			twice = 1
		}
		bell[i] = math.Exp(-x * x / (2 * gradientSigma * gradientSigma))
		slope[i] = x * bell[i]
		bells += twice * bell[i] * bell[i]
		slopes += twice * slope[i] * slope[i]
	}
	for i := range bell {
		k.bell[i] = float32(bell[i] / math.Sqrt(bells))
		k.slope[i] = float32(slope[i] / math.Sqrt(slopes))
	}
	return k
}()

// gradientError sums (|grad a| - |grad g|)^2 over known pixels, nil for all.
// The pictures' outermost pixels continue outward.
func gradientError(ctx context.Context, a, g colour.Plane, known []bool) (float64, error) {
	rows := make([]float64, a.H)
	err := colour.EachBand(ctx, 0, a.H, func(y0, y1 int) {
		below := newDownward(a.W)
		ofA, ofG := make([]float32, a.W), make([]float32, a.W)
		for y := y0; y < y1; y++ {
			below.amplitude(ofA, a, y)
			below.amplitude(ofG, g, y)
			rows[y] = squaredDifference(ofA, ofG, knownRow(known, y, a.W))
		}
	})
	sum := 0.0
	for _, r := range rows {
		sum += r
	}
	return sum, err
}

func squaredDifference(a, g []float32, known []bool) (sum float64) {
	for x := range a {
		if known == nil || known[x] {
			d := float64(a[x]) - float64(g[x])
			sum += float64(d * d)
		}
	}
	return sum
}

// downward holds one row filtered down by the bell and by the slope, with
// gradientReach pixels more at both ends.
type downward struct {
	bell, slope []float32
}

func newDownward(w int) downward {
	return downward{make([]float32, w+2*gradientReach), make([]float32, w+2*gradientReach)}
}

// amplitude sets dst to the gradient's length along row y of p.
func (d downward) amplitude(dst []float32, p colour.Plane, y int) {
	if d.down(p, y) {
		clear(dst)
		return
	}
	k := &gradientKernel
	for x := range dst {
		b := (*[2*gradientReach + 1]float32)(d.bell[x:])
		s := (*[2*gradientReach + 1]float32)(d.slope[x:])
		gx := float32(k.slope[1]*(b[5]-b[3])) + float32(k.slope[2]*(b[6]-b[2])) +
			float32(k.slope[3]*(b[7]-b[1])) + float32(k.slope[4]*(b[8]-b[0]))
		gy := float32(k.bell[0]*s[4]) + float32(k.bell[1]*(s[5]+s[3])) + float32(k.bell[2]*(s[6]+s[2])) +
			float32(k.bell[3]*(s[7]+s[1])) + float32(k.bell[4]*(s[8]+s[0]))
		dst[x] = float32(math.Sqrt(float64(float32(gx*gx) + float32(gy*gy))))
	}
}

// down filters the rows about y downward. flat reports that all of them are the
// same constant, so that there is no gradient; it then leaves d as it was.
func (d downward) down(p colour.Plane, y int) (flat bool) {
	var rows [2*gradientReach + 1][]float32
	flat = true
	for i := range rows {
		rows[i] = p.Row(min(max(y+i-gradientReach, 0), p.H-1))
		flat = flat && constant(rows[i], p.Row(y)[0])
	}
	if flat {
		return true
	}
	k := &gradientKernel
	bell, slope := d.bell[gradientReach:][:p.W], d.slope[gradientReach:][:p.W]
	r0, r1, r2, r3, r4 := rows[0][:p.W], rows[1][:p.W], rows[2][:p.W], rows[3][:p.W], rows[4][:p.W]
	r5, r6, r7, r8 := rows[5][:p.W], rows[6][:p.W], rows[7][:p.W], rows[8][:p.W]
	for x := range bell {
		bell[x] = float32(k.bell[0]*r4[x]) + float32(k.bell[1]*(r5[x]+r3[x])) + float32(k.bell[2]*(r6[x]+r2[x])) +
			float32(k.bell[3]*(r7[x]+r1[x])) + float32(k.bell[4]*(r8[x]+r0[x]))
		slope[x] = float32(k.slope[1]*(r5[x]-r3[x])) + float32(k.slope[2]*(r6[x]-r2[x])) +
			float32(k.slope[3]*(r7[x]-r1[x])) + float32(k.slope[4]*(r8[x]-r0[x]))
	}
	extend(d.bell)
	extend(d.slope)
	return false
}

func constant(row []float32, v float32) bool {
	for _, u := range row {
		if u != v {
			return false
		}
	}
	return true
}

// extend repeats the first and last sample over the ends of a row.
func extend(row []float32) {
	for i := range gradientReach {
		row[i] = row[gradientReach]
		row[len(row)-1-i] = row[len(row)-1-gradientReach]
	}
}
