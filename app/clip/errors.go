package clip

import (
	"bytes"
	"compress/flate"
	"compress/zlib"
	"context"
	"errors"
	"fmt"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"strings"
	"unicode"

	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"
)

// What can be wrong with a file; an Error is one of these under errors.Is.
var (
	// ErrMissing: there is no such file, or it may not be read.
	ErrMissing = errors.New("no readable file")
	// ErrNotPicture: the file is of another kind (text, folder, movie, empty).
	ErrNotPicture = errors.New("not a picture")
	// ErrDamaged: the file breaks its format's rules or is cut short.
	ErrDamaged = errors.New("damaged picture")
	// ErrUnsupported: a valid picture of a variant that is not read here.
	ErrUnsupported = errors.New("unsupported picture")
	// ErrTooLarge: more pixels than MaxSide and MaxPixels allow.
	ErrTooLarge = errors.New("picture too large")
	// ErrColour: colour where a grey picture was wanted.
	ErrColour = errors.New("picture not grey")
	// ErrNoFrame: the clip has no frame of that number.
	ErrNoFrame = errors.New("no such frame")
	// ErrSize: a frame of a sequence has another size than the first.
	ErrSize = errors.New("frames of different sizes")
	// ErrSequence: the path does not mean one numbered sequence.
	ErrSequence = errors.New("not one sequence")
	// ErrProgram: a program that reads movies is missing or does not work.
	ErrProgram = errors.New("no program to read movies")
)

// An Error says which file, what was found and what was wanted, in one line.
type Error struct {
	Path  string
	Found string
	Want  string
	Kind  error // one of the Err values
	Cause error // what a decoder or the system said; may be nil
}

func (e *Error) Error() string {
	return oneLine(fmt.Sprintf("clip: %s: %s, want %s", e.Path, e.Found, e.Want))
}

// Unwrap gives errors.Is and errors.As both the kind and the cause.
func (e *Error) Unwrap() []error {
	if e.Cause == nil {
		return []error{e.Kind}
	}
	return []error{e.Kind, e.Cause}
}

// oneLine replaces what would break a line or hide in it.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, s)
}

func (s source) damaged(found, want string, args ...any) *Error {
	return &Error{Path: s.path, Found: found, Want: fmt.Sprintf(want, args...), Kind: ErrDamaged}
}

func (s source) unsupported(found, want string) *Error {
	return &Error{Path: s.path, Found: found, Want: want, Kind: ErrUnsupported}
}

func (s source) cutShort() *Error {
	e := s.damaged(fmt.Sprintf("the file ends after %d bytes, inside the picture", s.size), "the whole file")
	e.Cause = io.ErrUnexpectedEOF
	return e
}

// refuse puts what a decoder of the named format said into an Error.
func (s source) refuse(format string, err error) error {
	var own *Error
	var system *fs.PathError
	switch {
	case errors.As(err, &own), errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &system):
		return &Error{s.path, "it cannot be read (" + system.Err.Error() + ")", "a readable file", ErrMissing, err}
	case ended(err) && format == "TIFF": // its parts were found to lie within the file
		return &Error{s.path, "a TIFF whose compressed data stop before an end mark", "an undamaged file", ErrDamaged, err}
	case ended(err):
		return s.cutShort()
	case unsupported(err):
		return &Error{s.path, "a " + format + " with " + saying(err), "a plainer variant", ErrUnsupported, err}
	}
	return &Error{s.path, "a " + format + " that cannot be decoded (" + saying(err) + ")", "an undamaged file", ErrDamaged, err}
}

func ended(err error) bool { return errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) }

func unsupported(err error) bool {
	var p png.UnsupportedError
	var j jpeg.UnsupportedError
	var t tiff.UnsupportedError
	return errors.As(err, &p) || errors.As(err, &j) || errors.As(err, &t) || errors.Is(err, bmp.ErrUnsupported)
}

// saying returns a decoder's words without what only says whose words they are.
func saying(err error) string {
	var corrupt flate.CorruptInputError
	switch {
	case errors.As(err, &corrupt), errors.Is(err, zlib.ErrHeader), errors.Is(err, zlib.ErrChecksum):
		return "its compressed data are spoilt"
	case errors.Is(err, bmp.ErrUnsupported):
		return "a header or compression of another kind"
	}
	s := err.Error()
	for _, prefix := range []string{"png: ", "jpeg: ", "tiff: ", "bmp: ", "webp: ", "riff: ", "vp8: ", "vp8l: ", "invalid format: ", "unsupported feature: "} {
		s = strings.TrimPrefix(s, prefix)
	}
	return s
}

// otherKinds are the beginnings of files that people take for pictures, and
// what to call them.
var otherKinds = []struct {
	at    int
	magic string
	what  string
}{
	{0, "GIF8", "a GIF picture"},
	{4, "ftyphei", "a HEIF picture"}, {4, "ftypmif1", "a HEIF picture"}, {4, "ftypavi", "an AVIF picture"},
	{4, "ftyp", "a movie (MP4 or QuickTime)"}, {4, "moov", "a movie (QuickTime)"},
	{0, "\x1a\x45\xdf\xa3", "a movie (Matroska or WebM)"}, {8, "AVI ", "a movie (AVI)"},
	{0, "\x76\x2f\x31\x01", "an OpenEXR picture"}, {0, "SDPX", "a DPX picture"}, {0, "XPDS", "a DPX picture"},
	{0, "\xff\x0a", "a JPEG XL picture"}, {4, "JXL ", "a JPEG XL picture"}, {4, "jP  ", "a JPEG 2000 picture"},
	{0, "%PDF", "a PDF document"}, {0, "PK\x03\x04", "a ZIP archive"}, {0, "<svg", "an SVG drawing"},
}

// lists are the beginnings of files that are no footage but name other files, for
// the programs that read movies to open, and what to call them.
var lists = []struct{ magic, what string }{
	{"#EXTM3U", "a playlist, which names other files"},               // RFC 8216, 4.3.1.1
	{"ffconcat version", "a concat script, which names other files"}, // man ffmpeg-formats, concat
}

// listIn says what a file is that names others, by its first bytes; "" for none.
func listIn(head []byte) string {
	for _, l := range lists {
		if bytes.HasPrefix(head, []byte(l.magic)) {
			return l.what
		}
	}
	return ""
}

// another describes a file that is none of the formats by its first bytes.
func another(head []byte) string {
	if list := listIn(head); list != "" {
		return list
	}
	for _, k := range otherKinds {
		if len(head) > k.at && bytes.HasPrefix(head[k.at:], []byte(k.magic)) {
			return k.what
		}
	}
	for _, c := range head {
		if c < 9 || c > 13 && c < 32 && c != 27 {
			return "a file of an unknown kind"
		}
	}
	return "a text file"
}
