package export

import (
	"bytes"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"halocline/app/clip"
	"halocline/app/program"
	"halocline/app/study"
	"halocline/colour"
)

// A movie is made of PNG files, so that it is whole whatever befell the export
// before: FFV1 version 3 (RFC 9043), grey or R, G, B of 16 bits, each frame by
// itself, in Matroska, at the clip's rate, tagged as of full range, and in colour as of
// sRGB's curve. Its samples are those of the files; those of 8 bits are multiplied by
// 257.
const movieEnding = ".mkv"

const movieMaker = "ffmpeg"

// errNoMaker says what a movie lacks.
func errNoMaker(cause error) error {
	return fmt.Errorf("the program %s that makes movies is not on the PATH (Debian, Ubuntu: apt install ffmpeg; macOS: brew install ffmpeg; Windows: winget install ffmpeg): %w", movieMaker, cause)
}

// tellOfMovie tells at once what a movie will lack at the end.
func (j Job) tellOfMovie() {
	if !j.Movie || j.Notice == nil {
		return
	}
	if _, err := exec.LookPath(movieMaker); err != nil {
		j.Notice(fmt.Sprintf("PNG files are written, but no movie: %v", errNoMaker(err)))
	}
	if n := len(j.Frames); n > 1 && j.Frames[n-1]-j.Frames[0] != n-1 {
		j.Notice("The movie has the frames one after the other, without the gaps between their numbers.")
	}
}

// movie makes the movie of a matte, or of a kind that has none, unless it is there.
func (r *run) movie(ctx context.Context, x extra, i int, e Entry) (Entry, bool, error) {
	names := r.filesOf(x.matte)
	if bad := r.badOf(x.matte); len(bad) > 0 && r.Notice != nil {
		r.Notice(fmt.Sprintf("the movie %s goes without frames %s, which have no picture: what follows comes earlier in it", x.name, FramesText(bad)))
	}
	h := sha256.New()
	fmt.Fprintf(h, "movie 1 at %d/%d\n", r.Study.Clip.Rate[0], r.Study.Clip.Rate[1])
	for _, name := range names {
		png, _ := r.manifest.entry(name)
		fmt.Fprintln(h, png.SHA256)
	}
	e.Frame, e.Digest = r.Frames[0], hex.EncodeToString(h.Sum(nil))
	if old, there := r.isThere(i, e); there {
		return old, true, nil
	}
	err := r.makeMovie(ctx, x, len(r.tasks)+i, &e, names)
	if err != nil && ctx.Err() == nil {
		err = fmt.Errorf("export: movie %s (its PNG files are there): %w", r.path(x.task), err)
	}
	return e, false, err
}

// filesOf lists the files of a matte's frames, of all for nil.
func (r *run) filesOf(m *study.Matte) (names []string) {
	for _, t := range r.tasks {
		if t.matte == m && !r.isBad(m, t.frame) {
			names = append(names, t.name)
		}
	}
	return names
}

// makeMovie writes a movie under another name, and renames it once it is whole.
func (r *run) makeMovie(ctx context.Context, x extra, i int, e *Entry, names []string) error {
	if err := r.folder.check(); err != nil {
		return err
	}
	part, err := study.CreateBeside(r.path(x.task))
	if err != nil {
		return r.folder.why(err)
	}
	defer os.Remove(part.Name()) // where it is not renamed
	defer part.Close()
	if err := r.encodeMovie(ctx, part.Name(), names); err != nil {
		return err
	}
	if err := part.Sync(); err != nil {
		return err
	}
	info, print, err := measured(ctx, part.Name())
	if err != nil {
		return err
	}
	e.Size, e.SHA256 = print.Size, print.SHA256
	if _, err := r.adopts(ctx, i, *e); err != nil {
		return err
	}
	if *e, err = r.manifest.add(ctx, *e); err != nil {
		return r.folder.why(err)
	}
	part.Close() // or some systems would not rename it
	if err := os.Rename(part.Name(), r.path(x.task)); err != nil {
		return r.folder.why(err)
	}
	r.manifest.saw(x.name, info)
	return nil
}

// encodeMovie has the program make a movie at path of PNG files.
func (r *run) encodeMovie(ctx context.Context, path string, names []string) error {
	maker, err := exec.LookPath(movieMaker)
	if err != nil {
		return errNoMaker(err)
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	frames := readAhead(ctx, r.Folder, names, r.samplesOf())
	first, ok := <-frames
	if !ok || first.err != nil {
		return cmp.Or(first.err, ctx.Err(), errors.New("there are no frames for it"))
	}
	if err := tooSmall(first); err != nil {
		return err
	}
	cmd := program.Command(ctx, maker, r.makerArgs(first, path)...)
	var said bytes.Buffer
	cmd.Stderr = &said
	in, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	err = feed(in, first, frames, len(names))
	if err != nil {
		stop()
	}
	in.Close() // which ends the program
	ended := cmd.Wait()
	if text := strings.TrimSpace(said.String()); ended != nil && text != "" {
		return fmt.Errorf("%s: %s", movieMaker, text)
	}
	return cmp.Or(err, ended)
}

// tooSmall returns an error for frames that FFV1 cannot cut in four slices, two by two (RFC 9043, 4.5).
func tooSmall(frame raw) error {
	if frame.w < 2 || frame.h < 2 {
		return fmt.Errorf("its frames have %d x %d pixels, want 2 x 2 or more for FFV1", frame.w, frame.h)
	}
	return nil
}

// makerArgs are those of the program for frames like the first.
func (r *run) makerArgs(first raw, path string) []string {
	rate, form, curve := r.Study.Clip.Rate, "gray16le", []string(nil)
	if r.Kind.samples() > 1 {
		form, curve = "gbrp16le", []string{"-color_trc", "iec61966-2-1"}
	}
	args := []string{
		"-v", "error", "-hide_banner", "-nostdin", "-y",
		"-f", "rawvideo", "-pix_fmt", form, "-color_range", "pc", "-video_size", fmt.Sprintf("%dx%d", first.w, first.h),
		"-framerate", fmt.Sprintf("%d/%d", rate[0], rate[1]), "-i", "pipe:0",
		"-c:v", "ffv1", "-level", "3", "-g", "1", "-slices", "4", "-slicecrc", "1", "-color_range", "pc",
	}
	args = append(args, curve...)
	return append(args, "-map_metadata", "-1", "-fflags", "+bitexact", "-flags:v", "+bitexact", "-f", "matroska", "file:"+path)
}

// samplesOf is how the job's files are read for a movie.
func (r *run) samplesOf() func(context.Context, string) raw {
	if r.Kind.samples() > 1 {
		return rawColours
	}
	return rawOf
}

// A raw is a frame's samples, low bytes first.
type raw struct {
	w, h int
	pix  []byte
	err  error
}

// readAhead decodes PNG files, one after the other, a few before they are wanted.
// It ends with ctx, or after an error.
func readAhead(ctx context.Context, folder string, names []string, read func(context.Context, string) raw) <-chan raw {
	frames := make(chan raw, 3)
	go func() {
		defer close(frames)
		for _, name := range names {
			f := read(ctx, filepath.Join(folder, filepath.FromSlash(name)))
			select {
			case frames <- f:
			case <-ctx.Done():
				return
			}
			if f.err != nil {
				return
			}
		}
	}()
	return frames
}

// rawOf reads a grey file.
func rawOf(ctx context.Context, path string) raw {
	p, _, err := clip.ReadGrey(ctx, path)
	if err != nil {
		return raw{err: err}
	}
	return rawPlanes(p)
}

// rawColours reads a colour file: planes of green, blue and red, in that order.
func rawColours(ctx context.Context, path string) raw {
	m, _, err := clip.Read(ctx, path)
	if err != nil {
		return raw{err: err}
	}
	return rawPlanes(m.G, m.B, m.R)
}

func rawPlanes(planes ...colour.Plane) raw {
	f := raw{w: planes[0].W, h: planes[0].H}
	for _, p := range planes {
		codes := make([]byte, 2*len(p.Pix))
		colour.Codes16BE(codes, p.Pix)
		for i := 0; i < len(codes); i += 2 {
			codes[i], codes[i+1] = codes[i+1], codes[i]
		}
		f.pix = append(f.pix, codes...)
	}
	return f
}

// feed writes n frames to a program that reads them.
func feed(to io.Writer, first raw, rest <-chan raw, n int) error {
	f := first
	for done := 1; ; done++ {
		if f.err == nil && (f.w != first.w || f.h != first.h) {
			f.err = fmt.Errorf("a frame is %d x %d pixels, want %d x %d as the first", f.w, f.h, first.w, first.h)
		}
		if f.err != nil {
			return f.err
		}
		if _, err := to.Write(f.pix); err != nil {
			return err
		}
		if done == n {
			return nil
		}
		var more bool
		if f, more = <-rest; !more {
			return context.Canceled // readAhead ends early for no other reason
		}
	}
}
