package clip

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"halocline/colour"
)

// Movie is what a movie's header says beside Info. Words for matrix and range
// are those of Options.
type Movie struct {
	Container string `json:"container"` // such as "QuickTime / MOV"
	Codec     string `json:"codec"`     // such as "h264"
	Profile   string `json:"profile,omitempty"`
	Pixels    string `json:"pixels"`           // the decoder's layout, such as "yuv420p10le"
	Chroma    string `json:"chroma,omitempty"` // "4:2:0"; "" for R, G, B and grey
	Siting    string `json:"siting,omitempty"` // of subsampled chroma: "left", "center", "topleft"
	Matrix    string `json:"matrix,omitempty"` // "bt601", "bt709", "bt2020", "smpte240m" or "fcc"; "" for R, G, B and grey
	Range     string `json:"range"`            // "limited" or "full"
	// MatrixFrom and RangeFrom say who decided: "tag", "default" or "chosen".
	MatrixFrom string `json:"matrixFrom,omitempty"`
	RangeFrom  string `json:"rangeFrom"`
	Transfer   string `json:"transfer,omitempty"` // the tagged curve, which is not applied
	Primaries  string `json:"primaries,omitempty"`
	// Rate is frames per second as a fraction; where Variable, their mean.
	Rate     [2]int `json:"rate"`
	Variable bool   `json:"variable,omitempty"`
	// Counted says that the movie does not tell when frames are shown: they are
	// counted from the first, and going back begins there.
	Counted bool `json:"counted,omitempty"`
}

// movieEndings are those by which movies are known where their first bytes are
// not, and those to offer.
var movieEndings = []string{".mp4", ".mov", ".m4v", ".mkv", ".webm", ".avi", ".mxf", ".mts", ".m2ts", ".ts", ".mpg", ".mpeg", ".wmv", ".3gp"}

// MovieEndings returns the endings of names that movies have, in lower case.
func MovieEndings() []string { return slices.Clone(movieEndings) }

// movieHeads are the first bytes of movies.
var movieHeads = []struct {
	at    int
	magic string
}{
	{4, "ftyp"}, {4, "moov"}, {4, "mdat"}, {4, "free"}, {4, "skip"}, {4, "wide"},
	{0, "\x1a\x45\xdf\xa3"}, {8, "AVI "}, {0, "\x06\x0e\x2b\x34\x02\x05"}, {0, "\x00\x00\x01\xba"}, {0, "\x00\x00\x01\xb3"},
	{0, "\x30\x26\xb2\x75"}, {0, "OggS"}, {0, "FLV\x01"}, {0, "YUV4MPEG2"}, {0, "DKIF"},
}

// IsMovie reports whether the file at path is read as a movie, which its first
// bytes tell, or its ending where they are of no kind that is known.
func IsMovie(path string) bool {
	s, f, err := open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	head, err := s.head(headBytes)
	return err == nil && isMovie(head, path)
}

func isMovie(head []byte, path string) bool {
	if listIn(head) != "" {
		return false
	}
	for _, f := range formats {
		if f.is(head) {
			return false
		}
	}
	what := another(head)
	for _, m := range movieHeads {
		if len(head) > m.at && bytes.HasPrefix(head[m.at:], []byte(m.magic)) {
			return !strings.HasSuffix(what, " picture")
		}
	}
	return what == "a file of an unknown kind" && slices.Contains(movieEndings, strings.ToLower(filepath.Ext(path)))
}

// A movie is a movie file with what is known of it. Its methods may be called
// from several goroutines.
type movie struct {
	path          string
	track         int
	width, height int // as stored
	orientation   int
	format        pixelFormat
	coding        movieCoding
	stream        probedStream
	index         *movieIndex
	start         int64 // microseconds; where the file's time begins
	frameBytes    int   // of a raw frame
	size          int64 // of the file when it was opened
	modified      time.Time
	reader        *reader
	passthrough   string // the name of an option, which the version of the decoder decides
}

// OpenMovie opens the movie at path, whose frames are numbered from 0 in the
// order they are shown in. It reads the file's list of packets, through the
// programs ffprobe and ffmpeg, which must be on the PATH, and decodes nothing.
// Close the clip when it is no longer used.
func OpenMovie(ctx context.Context, path string, o Options) (*Clip, error) {
	if err := o.check(path); err != nil {
		return nil, err
	}
	s, f, err := open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if head, err := s.head(headBytes); err == nil && listIn(head) != "" {
		return nil, &Error{path, "it is " + listIn(head), whatIsPlayed, ErrNotPicture, nil}
	}
	at, err := locate(decoder, path)
	if err != nil {
		return nil, err
	}
	option, err := passthrough(ctx, at) // asked now, not when the first frame is waited for
	if err != nil {
		return nil, err
	}
	m, info, err := newMovie(ctx, path, s.size, o)
	if err != nil {
		return nil, err
	}
	m.passthrough = option
	m.size = s.size
	if stat, err := os.Stat(path); err == nil {
		m.modified = stat.ModTime()
	}
	m.reader = newReader(m, DefaultRaw)
	c := &Clip{info: info, movie: m, paths: []string{path}, frames: make([]int, m.index.n)}
	for i := range c.frames {
		c.frames[i] = i
	}
	runtime.AddCleanup(c, func(r *reader) { go r.close() }, m.reader) // of a clip that nobody closed
	return c, nil
}

func newMovie(ctx context.Context, path string, size int64, o Options) (*movie, Info, error) {
	s, file, err := probeStream(ctx, path)
	if err != nil {
		return nil, Info{}, err
	}
	format, ok := pixelFormatNamed(s.PixFmt)
	switch {
	case s.Codec == "" || s.Codec == "unknown" || s.PixFmt == "":
		return nil, Info{}, &Error{path, "a movie of a codec that ffmpeg cannot decode here (" + s.Codec + ")", "H.264, HEVC, ProRes, MJPEG, FFV1 or another it can", ErrUnsupported, nil}
	case !ok:
		return nil, Info{}, &Error{path, "a movie of pixels of the form " + s.PixFmt, "Y'CbCr, R, G, B or grey of 8 to 16 bits", ErrUnsupported, nil}
	case s.Width < 1 || s.Height < 1 || s.Width > MaxSide || s.Height > MaxSide || s.Width*s.Height > MaxPixels:
		return nil, Info{}, &Error{path, pixels(s.Width, s.Height) + " pixels", fmt.Sprintf("at most %d a side and %d in all", MaxSide, MaxPixels), ErrTooLarge, nil}
	}
	m := &movie{path: path, stream: s, track: s.Index, width: s.Width, height: s.Height, format: format, start: microseconds(file.Format.Start)}
	m.frameBytes = format.bytes(m.width, m.height)
	if m.coding, err = codingOf(&s, format, o, path); err != nil {
		return nil, Info{}, err
	}
	if m.index, err = indexOf(ctx, path, &s, &file, size); err != nil {
		return nil, Info{}, err
	}
	return m, m.info(&s, &file), nil
}

// info describes the movie.
func (m *movie) info(s *probedStream, file *probedFile) Info {
	o, quarter := s.displayMatrix()
	m.orientation = o
	rate, constant := m.index.rate(s)
	about := &Movie{
		Container: file.Format.Long, Codec: s.Codec, Profile: s.Profile, Pixels: s.PixFmt, Chroma: m.format.chroma(), Siting: m.coding.sitingName,
		Matrix: m.coding.matrix, MatrixFrom: m.coding.matrixFrom, Range: "limited", RangeFrom: m.coding.rangeFrom,
		Transfer: tagged(s.Transfer), Primaries: tagged(s.Primaries),
		Rate: rate, Variable: !constant, Counted: m.index.pts == nil,
	}
	if m.coding.coding.Full {
		about.Range = "full"
	}
	info := Info{Format: "movie", Width: m.width, Height: m.height, Depth: m.format.bits, Channels: m.format.kind, Alpha: m.format.alpha,
		Orientation: o, Movie: about, Notices: m.coding.notices}
	if turned(o) {
		info.Width, info.Height = m.height, m.width
	}
	info.Notices = append(info.Notices, m.notices(s, about, quarter)...)
	return info
}

func tagged(tag string) string {
	if tag == "unknown" || tag == "reserved" {
		return ""
	}
	return tag
}

// notices say in plain sentences what is not as one might think.
func (m *movie) notices(s *probedStream, about *Movie, quarter bool) (all []string) {
	if !quarter {
		all = append(all, "It asks to be turned by no quarter of a circle; it is left as it is stored.")
	}
	if about.Variable {
		all = append(all, fmt.Sprintf("Its frame rate varies, %s a second on average: frames are counted, and their times are not even.", rateText(about.Rate)))
	}
	if about.Counted {
		all = append(all, "It does not say when its frames are shown: they are counted from the first, which makes going back slow.")
	}
	if m.format.alpha {
		all = append(all, "Its alpha channel is left out.")
	}
	if s.Fields != "" && s.Fields != "progressive" && s.Fields != "unknown" {
		all = append(all, "It is interlaced: both fields of a frame are shown in one picture.")
	}
	if a := fractionOf(s.Aspect, ":"); a[0] != a[1] {
		all = append(all, fmt.Sprintf("Its pixels are %d:%d, not square; they are shown one by one.", a[0], a[1]))
	}
	if about.Transfer == "smpte2084" || about.Transfer == "arib-std-b67" {
		all = append(all, "Its curve ("+about.Transfer+") is not applied.")
	}
	if m.index.unseen > 0 {
		all = append(all, fmt.Sprintf("Its edit list leaves out %d of its %d pictures.", m.index.unseen, m.index.unseen+m.index.n))
	}
	if claimed := claimedFrames(s); claimed > m.index.n+m.index.unseen {
		all = append(all, fmt.Sprintf("It claims %d frames and has %d: the file may be cut short.", claimed, m.index.n))
	} else if m.index.cut {
		all = append(all, fmt.Sprintf("The file is cut short: its first %d frames are whole.", m.index.n))
	}
	return all
}

func rateText(rate [2]int) string {
	return strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.3f", float64(rate[0])/float64(rate[1])), "0"), ".")
}

// unchanged returns an error where the movie's file is no longer what was
// opened.
func (m *movie) unchanged() error {
	stat, err := os.Stat(m.path)
	if err != nil {
		return missing(m.path, err)
	}
	if stat.Size() != m.size || !stat.ModTime().Equal(m.modified) {
		return &Error{m.path, "it changed since it was opened", "the same file", ErrDamaged, nil}
	}
	return nil
}

// noPicture is the error for a frame that the decoder did not give.
func (m *movie) noPicture(n int, said string) error {
	if err := m.unchanged(); err != nil {
		return err
	}
	found := fmt.Sprintf("its decoder gave no picture for frame %d", n)
	if said != "" {
		found += " (" + said + ")"
	}
	return &Error{m.path, found, "an undamaged movie", ErrDamaged, nil}
}

// frame reads frame n, which exists.
func (m *movie) frame(ctx context.Context, n int, coding movieCoding) (*colour.Image, error) {
	raw, err := m.reader.frame(ctx, n)
	if err != nil {
		return nil, err
	}
	defer m.reader.release(raw)
	return m.planes(ctx, raw.data, coding)
}

// planes converts a raw frame, the way up it is displayed.
func (m *movie) planes(ctx context.Context, raw []byte, coding movieCoding) (*colour.Image, error) {
	out := colour.NewImage(m.width, m.height)
	read := coding.rows(m.format, raw, m.width, m.height)
	err := colour.EachBand(ctx, 0, m.height, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			read(y, out.R.Row(y), out.G.Row(y), out.B.Row(y))
		}
	})
	for _, p := range []*colour.Plane{&out.R, &out.G, &out.B} {
		var turn error
		*p, turn = orient(ctx, *p, m.orientation)
		err = errors.Join(err, turn)
	}
	if err != nil {
		return nil, err
	}
	return out, nil
}

// FrameAs is Frame with a movie's codes read by the names of a matrix and a range
// (see Options) in place of those it was opened with; "" is what its tags say. Of
// other clips it is Frame.
func (c *Clip) FrameAs(ctx context.Context, n int, matrix, codes string) (*colour.Image, error) {
	if c.movie == nil || !c.Has(n) {
		return c.Frame(ctx, n)
	}
	defer runtime.KeepAlive(c) // a clip that nobody uses is closed
	o := Options{Matrix: matrix, Range: codes}
	if err := o.check(c.movie.path); err != nil {
		return nil, err
	}
	coding, err := codingOf(&c.movie.stream, c.movie.format, o, c.movie.path)
	if err != nil {
		return nil, err
	}
	return c.movie.frame(ctx, n, coding)
}

// IsMovie reports whether the clip is a movie.
func (c *Clip) IsMovie() bool { return c.movie != nil }

// Rate returns frames per second as a fraction, of a movie with a variable rate
// their mean; 0/0 for stills and sequences, whose files say none.
func (c *Clip) Rate() [2]int {
	if c.movie == nil {
		return [2]int{}
	}
	return c.info.Movie.Rate
}

// Time returns when frame n of a movie is shown, in seconds from its first
// frame; ok is false for other clips and frames that are not there.
func (c *Clip) Time(n int) (seconds float64, ok bool) {
	switch {
	case c.movie == nil || !c.Has(n):
		return 0, false
	case c.movie.index.pts == nil:
		return float64(n) * float64(c.Rate()[1]) / float64(c.Rate()[0]), true
	}
	x := c.movie.index
	return x.seconds(float64(x.pts[n] - x.pts[0])), true
}

// Close ends the programs that read a movie and returns when they are gone.
// Frames that are asked for from then on are errors. Other clips need no Close,
// and a second one does no harm.
func (c *Clip) Close() error {
	if c.movie != nil {
		c.movie.reader.close()
	}
	return nil
}
