package clip

import (
	"image"
	"math"
)

// Rec. ITU-R BT.601 weighs red and blue so in luma.
const (
	lumaRed  = 0.299
	lumaBlue = 0.114
)

// A ycbcrTable turns 8-bit Y'CbCr codes into the terms of R, G and B in [0,1]:
//
//	R = Y + 2 (1-Kr) Cr
//	B = Y + 2 (1-Kb) Cb
//	G = (Y - Kr R - Kb B) / (1-Kr-Kb)
//
// It holds what each code adds, so that grey (both chromas 128) is Y itself.
type ycbcrTable struct {
	luma                [256]float32
	redOfCr, greenOfCr  [256]float32
	blueOfCb, greenOfCb [256]float32
}

// Full range is JFIF's (ITU-T T.871); studio range is Rec. 601's, which WebP
// asks for (RFC 9649, 2.5): luma 16 to 235, chroma 224 codes wide.
var (
	fullRange   = newYCbCrTable(0, 255, 255)
	studioRange = newYCbCrTable(16, 219, 224)
)

func newYCbCrTable(black, lumaSpan, chromaSpan float64) *ycbcrTable {
	t := new(ycbcrTable)
	const lumaGreen = 1 - lumaRed - lumaBlue
	for i := range 256 {
		t.luma[i] = tableEntry((float64(i) - black) / lumaSpan)
		chroma := (float64(i) - 128) / chromaSpan
		t.redOfCr[i] = tableEntry(2 * (1 - lumaRed) * chroma)
		t.blueOfCb[i] = tableEntry(2 * (1 - lumaBlue) * chroma)
		t.greenOfCr[i] = tableEntry(-2 * (1 - lumaRed) * lumaRed / lumaGreen * chroma)
		t.greenOfCb[i] = tableEntry(-2 * (1 - lumaBlue) * lumaBlue / lumaGreen * chroma)
	}
	if black == 0 {
		t.luma = eight // v/255, rounded once
	}
	return t
}

// tableEntry rounds to a multiple of 2^-24, which sums keep exact.
func tableEntry(v float64) float32 { return float32(math.Round(v*(1<<24)) / (1 << 24)) }

// ycbcrRows reads Y'CbCr; chroma that is subsampled is interpolated.
func ycbcrRows(m *image.YCbCr, studio bool) rowReader {
	t := fullRange
	if studio {
		t = studioRange
	}
	if m.SubsampleRatio != image.YCbCrSubsampleRatio444 {
		return subsampledRows(m, t)
	}
	return func(y int, r, g, b []float32) {
		luma := m.Y[y*m.YStride:][:len(r)]
		cb, cr := m.Cb[y*m.CStride:][:len(r)], m.Cr[y*m.CStride:][:len(r)]
		g, b = g[:len(r)], b[:len(r)]
		for x, v := range luma {
			l, u, w := t.luma[v], cb[x], cr[x]
			r[x] = within(l + t.redOfCr[w])
			g[x] = within(l + (t.greenOfCb[u] + t.greenOfCr[w]))
			b[x] = within(l + t.blueOfCb[u])
		}
	}
}

// within clamps to [0,1].
func within(v float32) float32 {
	if v < 0 {
		return 0
	}
	if v > 1 {
		return 1
	}
	return v
}
