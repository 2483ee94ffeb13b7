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
// where the file stores it multiplied) and alpha itself is left out (but see ReadMask).
// Info.Notices says so in plain words.
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
// Movies are read through the programs ffprobe and ffmpeg, which must be on the
// PATH: what these decode, of 8 to 16 bits, in Y'CbCr of 4:2:0, 4:2:2, 4:4:0,
// 4:4:4 and 4:1:1, in R, G, B and in grey. Their frames are numbered from 0 in the
// order they are shown in, whatever order they are stored in and however long each
// is shown; Clip.Time tells when. The decoder hands over its own planes, and each
// frame with the time it is shown at, by which it is known: a frame is the one
// asked for, or an error. They may open that one file, in one of the containers MP4,
// QuickTime, 3GP, Matroska, WebM, AVI, MXF, MPEG, WMV, Ogg, FLV, Y4M and IVF: a playlist or
// script that names other files is no movie. What of a file that is cut short can be decoded is there.
//
// A movie's codes become R, G, B by its tags: matrix, range, siting of chroma and
// turn of the picture. Without a tag the matrix is BT.601 up to 719 lines and 1024
// columns and BT.709 above (Rec. ITU-R BT.601-7, BT.709-6; where the border lies is
// common practice, no source), BT.2020 where the primaries are, and BT.601 for
// MJPEG (ITU-T T.871); Y'CbCr is of limited range, R, G, B and grey of full; chroma
// lies on the left (ITU-T H.264, E.2.1), in MJPEG amid its pixels. Options overrule.
// Transfer curves, alpha, fields and pixels that are not square are left as they
// are, which Info.Notices says.
//
// What a picture is follows from its first bytes, never from its name; a movie of a
// kind that is not known by them from its ending. Its header
// is read and its size checked before memory is taken for the picture; see
// MaxSide and MaxPixels. Errors are of type *Error.
package clip
