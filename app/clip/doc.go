// Package clip brings pictures in: a Clip is footage that gives its frames by
// the source's own frame numbers.
//
// A frame is a colour.Image: three float32 planes, display encoded, in [0,1],
// the way up it is displayed (EXIF and TIFF orientation applied). A sample v of
// 8 or 16 bits becomes v/255 or v/65535, rounded once, so that every code comes
// back; 1, 2 and 4 bits likewise. Y'CbCr becomes R, G, B without a stop at 8 bits;
// chroma of 4:2:0, 4:2:2, 4:4:0, 4:1:1 and 4:1:0 is interpolated linearly from
// amid the pixels it stands for, where JFIF (ITU-T T.871) and WebP have it. An
// EXIF tag that puts it elsewhere (YCbCrPositioning 2, co-sited) is not followed,
// and in the rare subsampled JPEG of RGB or CMYK it is repeated by the decoder.
//
// Nothing is converted that the reader was not told of: no profile or gamma is
// applied, colour under an alpha channel is taken straight (divided by alpha
// where the file stores it multiplied) and alpha itself is left out. Info.Notices
// says so in plain words.
//
//	PNG   1 to 16 bits, grey, palette, RGB, with alpha, interlaced
//	JPEG  baseline and progressive: grey, Y'CbCr, RGB, CMYK
//	TIFF  1, 8 and 16 bits: grey, palette, RGB, RGB with alpha
//	BMP   1 to 8 bits palette, 24 and 32 bits
//	WebP  one picture, lossy or lossless
//
// A numbered sequence is the files of one folder whose names differ in the number
// before their ending alone. Frames keep these numbers, filled up with zeros or
// not, and what is missing stays a gap. Every frame must have the first one's size
// as displayed: orientation tags may differ, and so may depth and profile, though
// Info tells of the first frame's. Frame and Check look, OpenSequence does not: it
// reads names and one header, which ten thousand frames on a slow disk need.
//
// What a file is follows from its first bytes, never from its name. Its header
// is read and its size checked before memory is taken for the picture; see
// MaxSide and MaxPixels. Errors are of type *Error.
package clip
