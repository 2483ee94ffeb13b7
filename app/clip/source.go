package clip

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"

	"halocline/app/regular"
)

// A source is the bytes of one picture file.
type source struct {
	path string
	r    io.ReaderAt
	size int64
}

// whatIsRead ends every message about a file of another kind.
const whatIsRead = "a PNG, JPEG, TIFF, BMP or WebP picture"

// open opens the file at path, which must be a regular one that is not empty. Close
// the returned file after use.
func open(path string) (source, *os.File, error) {
	f, stat, err := regular.Open(path)
	if err != nil {
		return source{}, nil, missing(path, err)
	}
	if stat.Size() == 0 {
		f.Close()
		return source{}, nil, &Error{path, "the file is empty", whatIsRead, ErrNotPicture, nil}
	}
	return source{path, f, stat.Size()}, f, nil
}

func missing(path string, err error) error {
	found := "it cannot be read"
	var system *fs.PathError
	var other *regular.Error
	switch {
	case errors.As(err, &other):
		return &Error{path, "it is " + other.Is, whatIsRead, ErrNotPicture, err}
	case errors.Is(err, fs.ErrNotExist):
		found = "there is no such file"
	case errors.As(err, &system):
		found += " (" + system.Err.Error() + ")"
	}
	return &Error{path, found, "a readable file", ErrMissing, err}
}

// bytes returns n bytes from offset at. Where the file does not have them the
// error is that it is cut short, and no memory was taken.
func (s source) bytes(at int64, n int) ([]byte, error) {
	if at < 0 || n < 0 || at > s.size-int64(n) {
		return nil, s.cutShort()
	}
	b := make([]byte, n)
	if _, err := s.r.ReadAt(b, at); err != nil && (err != io.EOF || n > 0) {
		return nil, s.refuse("file", err)
	}
	return b, nil
}

// head returns up to n of the first bytes.
func (s source) head(n int) ([]byte, error) { return s.bytes(0, int(min(int64(n), s.size))) }

// stream returns a reader over the whole file that fails once ctx ends, which
// is how decoders that know nothing of ctx are stopped.
func (s source) stream(ctx context.Context) *stream {
	return &stream{ctx, io.NewSectionReader(s.r, 0, s.size)}
}

type stream struct {
	ctx context.Context
	*io.SectionReader
}

func (s *stream) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.SectionReader.Read(p)
}

func (s *stream) ReadAt(p []byte, at int64) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.SectionReader.ReadAt(p, at)
}
