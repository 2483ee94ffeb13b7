package selection

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// float64s reads every bit pattern as a number.
func float64s(data []byte, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		var word [8]byte
		if 8*i < len(data) {
			copy(word[:], data[8*i:])
		}
		out[i] = math.Float64frombits(binary.LittleEndian.Uint64(word[:]))
	}
	return out
}

func bytesOf(values ...float64) (data []byte) {
	for _, v := range values {
		data = binary.LittleEndian.AppendUint64(data, math.Float64bits(v))
	}
	return data
}

// FuzzWeight asks that every weight is in [0,1] whatever the range and the colour are,
// by the formula and by the tables.
func FuzzWeight(f *testing.F) {
	inf, nan, huge := math.Inf(1), math.NaN(), math.MaxFloat64
	f.Add(uint8(0), bytesOf(10, 20, 5, 5, 0.1, 0.5, 0.1, 0.1, 0.2, 0.8, 0, 0, 0.3, 0.6, 0.2))
	f.Add(uint8(1), bytesOf(350, 10, 0, 0, 20, 60, 4, 4, 30, 70, 0.1, 0.1, 0.8, 0.4, 0.4))
	f.Add(uint8(255), bytesOf(nan, inf, -inf, huge, -huge, huge, huge, nan, inf, inf, inf, nan, nan, inf, -inf))
	f.Add(uint8(6), bytesOf(-huge, huge, huge, huge, -huge, huge, huge, huge, -huge, -huge, huge, -huge, huge, 1e38, -1e38))
	f.Add(uint8(9), bytesOf(0, -1e-300, -5, 5e-324, 1, 0, -3, -4, 0.5, 0.5, 1e-12, 1e-9, 0, 1, 0.5))
	w := new(Weigher)
	f.Fuzz(func(t *testing.T, flags uint8, data []byte) {
		v := float64s(data, 15)
		p := Pick{Model: Model(flags & 1), Normal: [3]float64{0.6, 0, -0.8}}
		if flags&2 != 0 {
			p.Model = PlaneModel
		}
		for c := range p.Limits {
			p.Limits[c] = Limit{Range: Range{From: v[4*c], To: v[4*c+1], Before: v[4*c+2], After: v[4*c+3]},
				Off: flags>>(2+c)&1 == 1, Inverted: flags>>(5+c)&1 == 1}
		}
		rgb := colour.RGB{R: v[12], G: v[13], B: v[14]}
		within := func(weight float64, what string) {
			if !(weight >= 0 && weight <= 1) {
				t.Fatalf("%s of %+v, colour %v: weighs %v", what, p, rgb, weight)
			}
		}
		within(p.Weight(p.At(rgb)), "formula")
		within(p.Weight(Point(v[12:15])), "formula in coordinates")
		for c := range Channels {
			l := p.Limits[c]
			within(l.Weight(c, v[12]), "limit")
			l.Off = false
			plain := l.Weight(c, v[13])
			l.Inverted = !l.Inverted
			require.InDelta(t, 1-plain, l.Weight(c, v[13]), 1e-15)
		}
		src := colour.NewImage(4, 1)
		for x := range 4 {
			for i, plane := range []colour.Plane{src.R, src.G, src.B} {
				plane.Pix[x] = float32(v[12+(i+x)%3])
			}
		}
		src.R.Pix[3] = 0.5
		w.Set(p)
		var dst colour.Plane
		require.NoError(t, matteOf(t.Context(), w, &dst, src, 1))
		for _, weight := range dst.Pix {
			within(float64(weight), "matte")
		}
		reasons, err := w.Reasons(t.Context(), nil, src, 1)
		require.NoError(t, err)
		for x, r := range reasons {
			require.Equal(t, dst.Pix[x] >= 0.5, r == In, "reason %d at weight %v", r, dst.Pix[x])
		}
		p.Explain(p.At(rgb))
		p.Explain(Point(v[12:15]))
		IncludePoint(p, Point(v[12:15]))
		if q, err := LeaveOut(p, Point(v[12:15]), nil); err == nil {
			require.Less(t, q.Weight(Point(v[12:15])), 0.5)
		}
	})
}

// fuzzDabs reads dabs of up to four colours: a byte for the kind and the number
// of colours, then each colour as 8-bit codes, or as raw bits of float64.
func fuzzDabs(data []byte) (dabs []Dab) {
	for len(data) > 0 && len(dabs) < 8 {
		head := data[0]
		data = data[1:]
		d := Dab{Keep: head&1 == 1}
		for range int(head>>1&3) + 1 {
			size := 3
			if head&8 != 0 {
				size = 24
			}
			if len(data) < size {
				break
			}
			if size == 3 {
				d.Colours = append(d.Colours, colour.RGB{R: float64(data[0]) / 255, G: float64(data[1]) / 255, B: float64(data[2]) / 255})
			} else {
				v := float64s(data, 3)
				d.Colours = append(d.Colours, colour.RGB{R: v[0], G: v[1], B: v[2]})
			}
			data = data[size:]
		}
		dabs = append(dabs, d)
	}
	return dabs
}

// FuzzFit asks that a fitted pick keeps its laws whatever the dabs are.
func FuzzFit(f *testing.F) {
	f.Add([]byte{1, 180, 160, 120, 0, 60, 120, 80})
	f.Add([]byte{3, 180, 160, 120, 181, 161, 121, 1, 170, 150, 110, 0, 60, 120, 80, 0, 50, 110, 90})
	f.Add([]byte{1, 0, 0, 0, 0, 1, 1, 1, 1, 255, 255, 255, 0, 254, 254, 254})
	f.Add([]byte{1, 10, 10, 10, 1, 11, 11, 11, 0, 10, 10, 10, 0, 11, 11, 11})
	f.Add(append([]byte{9}, bytesOf(math.NaN(), math.Inf(1), 1e300)...))
	f.Add(append([]byte{9}, append(bytesOf(-5, 3, 1e30), 0, 1, 2, 3)...))
	f.Fuzz(func(t *testing.T, data []byte) {
		dabs := fuzzDabs(data)
		fitted, err := FitAuto(dabs)
		if err != nil {
			require.ErrorIs(t, err, ErrNoKeep)
			return
		}
		requireLawful(t, fitted)
		require.NotEmpty(t, fitted.Notes)
		sep, err := MeasureSeparation(dabs, fitted.Pick)
		if err == nil {
			requireEstimates(t, sep)
		}
		sep.Sentence()
		plane, err := Fit(dabs, PlaneModel)
		if err == nil {
			requireLawful(t, plane)
			require.InDelta(t, 1, lengthOf(plane.Pick.Normal), 1e-5)
			if sep, err = MeasureSeparation(dabs, plane.Pick); err == nil {
				requireEstimates(t, sep)
			}
		}
	})
}

// requireLawful asks of a fitted pick what a study takes: ends in order and
// within a full scale of their channel, fades within one, no NaN.
func requireLawful(t *testing.T, f Fitted) {
	t.Helper()
	for c := range Channels {
		l := f.Pick.Limits[c]
		lo, hi := span(f.Pick.Model, c)
		full := hi - lo
		for _, v := range []float64{l.From, l.To} {
			require.True(t, v >= -full && v <= 2*full, "%s: %+v", c.Name(f.Pick.Model), l)
		}
		for _, v := range []float64{l.Before, l.After} {
			require.True(t, v >= 0 && v <= full, "%s: %+v", c.Name(f.Pick.Model), l)
		}
		if c != Hue {
			require.LessOrEqual(t, l.From, l.To, "%s: %+v", c.Name(f.Pick.Model), l)
		}
	}
	require.True(t, f.Agreement >= 0 && f.Agreement <= 1+1e-9, "agreement %v", f.Agreement)
	for _, v := range f.LeftOut {
		require.False(t, v < 0 || v > 1+1e-9, "left out %v", v)
	}
}

func requireEstimates(t *testing.T, s Separation) {
	t.Helper()
	all := append(s.Channels[:], s.Pick, s.Plane)
	for _, p := range all {
		for _, e := range []Estimate{p.Could, p.Set} {
			require.True(t, e.Low >= 0 && e.Low <= e.High && e.High <= 1, "%+v", e)
			require.True(t, e.Value >= 0 && e.Value <= 1, "%+v", e)
		}
	}
}
