package clip

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"regexp"
	"runtime"
	"strconv"
	"strings"
	"sync"

	"halocline/app/program"
)

// mostThreads is how many threads a decoder has: each keeps frames of its own, at
// 4K some 25 MB, and three play 4K in time.
const mostThreads = 6

// A pipe is a running decoder that hands over a movie's frames one after the
// other, each under the time it is shown at. The decoder tells that time on its
// error output before it writes the frame.
type pipe struct {
	cmd     *exec.Cmd
	out     io.ReadCloser
	talk    io.ReadCloser // its error output
	marks   chan mark
	stopped chan struct{} // closed by stop
	once    sync.Once

	mu   sync.Mutex
	said []string // the decoder's last complaints
}

// A mark announces a frame.
type mark struct {
	pts           int64 // noTime where it has none
	format        string
	width, height int
}

// startPipe starts the decoder of a movie at frame from, or soon before it.
func (m *movie) startPipe(from int) (*pipe, error) {
	at, err := locate(decoder, m.path)
	if err != nil {
		return nil, err
	}
	args := append([]string{"-hide_banner", "-nostdin", "-nostats", "-loglevel", "repeat+level+info"}, confined()...)
	args = append(args, "-copyts", "-noautorotate", "-threads", strconv.Itoa(min(runtime.GOMAXPROCS(0), mostThreads)))
	if from > 0 {
		if at := m.index.between(from) - m.start; at > 0 {
			args = append(args, "-ss", fmt.Sprintf("%dus", at))
		}
	}
	args = append(args, "-i", inputOf(m.path), "-map", "0:"+strconv.Itoa(m.track), "-vf", "showinfo=checksum=0", m.passthrough, "passthrough")
	if m.format.convert {
		args = append(args, "-pix_fmt", m.format.name)
	}
	p := &pipe{cmd: program.Command(context.Background(), at, append(args, "-f", "rawvideo", "pipe:1")...), marks: make(chan mark, 64), stopped: make(chan struct{})}
	p.cmd.Env = append(os.Environ(), "AV_LOG_FORCE_NOCOLOR=1") // what it says is read here
	if p.out, err = p.cmd.StdoutPipe(); err != nil {
		return nil, err
	}
	if p.talk, err = p.cmd.StderrPipe(); err != nil {
		return nil, err
	}
	if err := p.cmd.Start(); err != nil {
		return nil, &Error{m.path, "its decoder cannot be started (" + err.Error() + ")", "a working " + decoder, ErrProgram, err}
	}
	widenPipe(p.out)
	go p.listen(p.talk)
	return p, nil
}

// listen takes marks out of what the decoder says.
func (p *pipe) listen(talk io.Reader) {
	defer close(p.marks)
	lines := bufio.NewScanner(talk)
	lines.Buffer(make([]byte, 4096), 1<<20)
	for lines.Scan() {
		line := lines.Text()
		if m, ok := markIn(line); ok {
			select {
			case p.marks <- m:
			case <-p.stopped:
			}
			continue
		}
		if strings.Contains(line, "[error]") || strings.Contains(line, "[fatal]") {
			p.mu.Lock()
			p.said = append(p.said[max(0, len(p.said)-7):], line)
			p.mu.Unlock()
		}
	}
	_, _ = io.Copy(io.Discard, talk) // a line too long for the scanner must not stop the decoder
}

// frameLine is how the decoder's filter showinfo announces a frame.
var frameLine = regexp.MustCompile(`^\[Parsed_showinfo.*\] n: *\d+ pts: *(-?\d+|NOPTS) .*?fmt:(\S+) .*?s:(\d+)x(\d+) `)

func markIn(line string) (mark, bool) {
	if !strings.HasPrefix(line, "[Parsed_showinfo") {
		return mark{}, false
	}
	f := frameLine.FindStringSubmatch(line)
	if f == nil {
		return mark{}, false
	}
	w, _ := strconv.Atoi(f[3])
	h, _ := strconv.Atoi(f[4])
	return mark{ticks(f[1]), f[2], w, h}, true
}

// next waits for a frame and returns its mark; io.EOF where none is left or the
// pipe was stopped. read or skip must follow.
func (p *pipe) next() (mark, error) {
	select {
	case m, ok := <-p.marks:
		if !ok {
			return mark{}, io.EOF
		}
		return m, nil
	case <-p.stopped:
		return mark{}, io.EOF
	}
}

// read fills b with the frame that next announced.
func (p *pipe) read(b []byte) error {
	_, err := io.ReadFull(p.out, b)
	return err
}

// skip passes over a frame of n bytes.
func (p *pipe) skip(n int) error {
	_, err := io.CopyN(io.Discard, p.out, int64(n))
	return err
}

// stop ends the decoder at once, with what it started, and hears no more of it. It
// does not wait; end does.
func (p *pipe) stop() {
	p.once.Do(func() {
		close(p.stopped)
		program.End(p.cmd)
		_ = p.out.Close()
		_ = p.talk.Close()
	})
}

// end waits until the decoder is gone and returns what went wrong in its own
// words, "" for nothing.
func (p *pipe) end() string {
	_ = p.out.Close()
	for range p.marks { // until the error output is read to its end
	}
	err := p.cmd.Wait()
	p.mu.Lock()
	defer p.mu.Unlock()
	said := lastWords(strings.Join(p.said, "\n"))
	if err != nil && (said == "" || strings.HasPrefix(err.Error(), "signal")) {
		return err.Error()
	}
	return said
}
