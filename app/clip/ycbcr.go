package clip

import (
	"image"

	"halocline/colour"
)

// ycbcrRows reads Y'CbCr of Rec. 601, whose chroma lies amid its pixels: that of
// JFIF (ITU-T T.871) in full range, and of WebP (RFC 9649, 2.5) in studio range;
// libwebp (src/dsp/upsampling.c) interpolates alike. What an encoder put in the
// rest of its last blocks is never read.
func ycbcrRows(m *image.YCbCr, studio bool) rowReader {
	across, down := chromaShift(m.SubsampleRatio)
	p := &colour.YCbCr{
		W: m.Rect.Dx(), H: m.Rect.Dy(), Across: across, Down: down,
		Coding: colour.Coding{Bits: 8, Full: !studio}, Weights: colour.Luma601,
		Y: m.Y, Cb: m.Cb, Cr: m.Cr, YStride: m.YStride, CStride: m.CStride,
	}
	return p.RowReader()
}

// chromaShift returns the binary logarithms of the pixels across and down for
// one sample of chroma.
func chromaShift(ratio image.YCbCrSubsampleRatio) (across, down uint) {
	switch ratio {
	case image.YCbCrSubsampleRatio422:
		return 1, 0
	case image.YCbCrSubsampleRatio420:
		return 1, 1
	case image.YCbCrSubsampleRatio440:
		return 0, 1
	case image.YCbCrSubsampleRatio411:
		return 2, 0
	case image.YCbCrSubsampleRatio410:
		return 2, 1
	}
	return 0, 0
}
