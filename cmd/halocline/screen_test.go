//go:build unix

package main_test

import (
	"bufio"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A screen is an X server of its own with the program's window on it, moved by
// a real mouse and keyboard.
type screen struct {
	t        *testing.T
	display  string
	home     string // for settings and unsaved work
	size     image.Point
	app      *exec.Cmd
	lines    chan string // the program's journal
	places   []place
	fresh    bool // places is the newest set
	window   string
	finished chan error
	log      []string
}

// A place is where a control is, in screen pixels of the window.
type place struct {
	x, y, w, h int
	kind, name string
}

func (p place) middle() image.Point { return image.Pt(p.x+p.w/2, p.y+p.h/2) }

// patience is how long one wait may take on a slow machine; none is waited for
// longer than it takes.
const patience = 60 * time.Second

// newScreen starts an X server and a window manager.
func newScreen(t *testing.T, size image.Point) *screen {
	t.Helper()
	for _, tool := range []string{"Xvfb", "openbox", "xdotool", "xprop", "import"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatalf("%s is missing: sh .ci/setup test", tool)
			}
			t.Skipf("%s is missing: sh .ci/setup test installs it", tool)
		}
	}
	s := &screen{t: t, size: size, home: t.TempDir()}
	read, write, err := os.Pipe()
	require.NoError(t, err)
	// Without -noreset a server starts anew when its last program leaves, and cuts off
	// a manager that is just arriving.
	server := exec.Command("Xvfb", "-displayfd", "3", "-noreset", "-screen", "0", fmt.Sprintf("%dx%dx24", size.X, size.Y), "-nolisten", "tcp", "-fbdir", s.home)
	server.ExtraFiles = []*os.File{write}
	require.NoError(t, server.Start())
	write.Close()
	t.Cleanup(func() { kill(server) })
	number, err := bufio.NewReader(read).ReadString('\n')
	require.NoError(t, err)
	s.display = ":" + strings.TrimSpace(number)
	s.startManager()
	return s
}

// startManager starts a window manager, and again where it ends before it is ready.
func (s *screen) startManager() {
	s.t.Helper()
	var said strings.Builder
	start := func() chan error {
		manager := exec.Command("openbox", "--sm-disable", "--config-file", s.managerFile())
		manager.Env, manager.Stdout, manager.Stderr = s.env(), &said, &said
		require.NoError(s.t, manager.Start())
		ended := make(chan error, 1)
		go func() { ended <- manager.Wait() }()
		s.t.Cleanup(func() { _ = manager.Process.Kill() })
		return ended
	}
	ended := start()
	for end := time.Now().Add(patience); !strings.Contains(s.run("xprop", "-root", "_NET_SUPPORTING_WM_CHECK"), "#"); time.Sleep(20 * time.Millisecond) {
		select {
		case err := <-ended:
			fmt.Fprintf(&said, "ended: %v\n", err)
			ended = start()
		default:
		}
		if time.Now().After(end) {
			s.t.Fatalf("no window manager within %v; it said\n%s", patience, said.String())
		}
	}
}

// managerFile makes windows fill the screen without a frame, so that a place in
// the window is one on the screen.
func (s *screen) managerFile() string {
	path := filepath.Join(s.home, "openbox.xml")
	require.NoError(s.t, os.WriteFile(path, []byte(`<?xml version="1.0"?>
<openbox_config xmlns="http://openbox.org/3.4/rc"><applications>
<application class="*"><decor>no</decor><maximized>yes</maximized></application>
</applications></openbox_config>`), 0o600))
	return path
}

func (s *screen) env() []string {
	return append(os.Environ(), "DISPLAY="+s.display, "LIBGL_ALWAYS_SOFTWARE=1", "FYNE_SCALE=1", "LANG=en_GB.UTF-8",
		"HOME="+s.home, "XDG_CONFIG_HOME="+filepath.Join(s.home, "config"), "XDG_CACHE_HOME="+filepath.Join(s.home, "cache"))
}

func kill(c *exec.Cmd) {
	_ = c.Process.Kill()
	_ = c.Wait()
}

// run runs a tool and returns what it prints.
func (s *screen) run(name string, args ...string) string {
	s.t.Helper()
	c := exec.Command(name, args...)
	c.Env = s.env()
	out, err := c.CombinedOutput()
	if err != nil && name != "xprop" {
		require.NoError(s.t, err, "%s %v: %s", name, args, out)
	}
	return string(out)
}

// until waits for something that no program tells.
func (s *screen) until(what string, holds func() bool) {
	s.t.Helper()
	for end := time.Now().Add(patience); !holds(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			s.t.Fatalf("%s: not within %v", what, patience)
		}
	}
}

// start starts the program and waits until it shows a picture and its figures.
func (s *screen) start(program string, args ...string) {
	s.t.Helper()
	s.app = exec.Command(program, append([]string{"--journal"}, args...)...)
	s.app.Env = s.env()
	out, err := s.app.StdoutPipe()
	require.NoError(s.t, err)
	s.app.Stderr = os.Stderr
	require.NoError(s.t, s.app.Start())
	s.lines, s.finished = make(chan string, 4096), make(chan error, 1)
	go follow(out, s.app, s.lines, s.finished)
	s.t.Cleanup(func() { _ = s.app.Process.Kill() })
	told := len(s.log)
	s.await("ready")
	s.window = strings.Fields(s.run("xdotool", "search", "--sync", "--onlyvisible", "--pid", strconv.Itoa(s.app.Process.Pid)))[0]
	s.run("xdotool", "windowactivate", "--sync", s.window)
	s.until("the keyboard", func() bool { // the manager gives it a little after it says so
		return strings.TrimSpace(s.run("xdotool", "getwindowfocus")) == s.window
	})
	if !slices.Contains(s.log[told:], "found") { // on a slow machine the picture comes after its figures
		s.await("found")
	}
	s.await("settled")
}

// follow reads what a program tells until it ends.
func follow(out io.Reader, app *exec.Cmd, lines chan<- string, finished chan<- error) {
	scan := bufio.NewScanner(out)
	scan.Buffer(nil, 1<<20)
	for scan.Scan() {
		lines <- scan.Text()
	}
	close(lines)
	finished <- app.Wait()
}

// await reads the journal until a line begins so, and returns the rest of it.
func (s *screen) await(begins string) string {
	s.t.Helper()
	end := time.After(patience)
	for {
		select {
		case line, open := <-s.lines:
			if !open {
				s.t.Fatalf("the program ended before %q", begins)
			}
			s.note(line)
			if strings.HasPrefix(line, begins) {
				return strings.TrimSpace(strings.TrimPrefix(line, begins))
			}
		case <-end:
			s.run("import", "-window", "root", filepath.Join(os.TempDir(), "halocline-awaiting.png"))
			s.t.Fatalf("%q: not within %v; the journal ends with\n%s", begins, patience, strings.Join(s.log[max(0, len(s.log)-12):], "\n"))
		}
	}
}

// overtake takes in all that the journal says so far: what is awaited then is new.
func (s *screen) overtake() {
	for len(s.lines) > 0 {
		s.note(<-s.lines)
	}
}

// note takes in a line of the journal.
func (s *screen) note(line string) {
	fields := strings.SplitN(line, " ", 7)
	if fields[0] != "place" {
		s.fresh = false
		s.log = append(s.log, line)
		return
	}
	if !s.fresh {
		s.places, s.fresh = nil, true
	}
	p := place{kind: fields[5]}
	for i, to := range []*int{&p.x, &p.y, &p.w, &p.h} {
		*to, _ = strconv.Atoi(fields[1+i])
	}
	if len(fields) > 6 {
		p.name = fields[6]
	}
	s.places = append(s.places, p)
}

// where finds a control by its kind and the beginning of its name.
func (s *screen) where(kind, name string) place {
	s.t.Helper()
	for _, p := range s.places {
		if p.kind == kind && strings.HasPrefix(p.name, name) {
			return p
		}
	}
	s.t.Fatalf("there is no %s %q, among %v", kind, name, s.places)
	return place{}
}

// appears waits until a control is there and rests.
func (s *screen) appears(kind, name string) {
	s.t.Helper()
	for {
		s.await("settled")
		for _, p := range s.places {
			if p.kind == kind && strings.HasPrefix(p.name, name) {
				return
			}
		}
	}
}

func (s *screen) move(p image.Point) {
	s.run("xdotool", "mousemove", "--window", s.window, strconv.Itoa(p.X), strconv.Itoa(p.Y))
}

func (s *screen) click(p image.Point) { s.button(p, 1) }

func (s *screen) button(p image.Point, n int) {
	s.move(p)
	s.run("xdotool", "click", strconv.Itoa(n))
}

// drag presses at the first place, moves over the others, and lets go.
func (s *screen) drag(over ...image.Point) {
	s.move(over[0])
	s.run("xdotool", "mousedown", "1")
	for i := 1; i < len(over); i++ {
		for k := 1; k <= 4; k++ {
			s.move(over[i-1].Add(over[i].Sub(over[i-1]).Mul(k).Div(4)))
		}
	}
	s.run("xdotool", "mouseup", "1")
}

func (s *screen) key(names ...string) {
	for _, n := range names {
		s.run("xdotool", "key", "--clearmodifiers", n)
	}
}

func (s *screen) typeText(text string) { s.run("xdotool", "type", "--delay", "8", text) }

// replaceText puts a text into the entry at a place.
func (s *screen) replaceText(p place, text string) {
	s.click(p.middle())
	s.key("ctrl+a")
	s.typeText(text)
}

// picture photographs the window.
func (s *screen) picture() image.Image {
	s.t.Helper()
	path := filepath.Join(s.home, "window.png")
	s.run("import", "-window", s.window, path)
	file, err := os.Open(path)
	require.NoError(s.t, err)
	defer file.Close()
	m, err := png.Decode(file)
	require.NoError(s.t, err)
	return m
}

// close closes the window as a user does, and waits for the program's end.
func (s *screen) close() {
	s.t.Helper()
	s.key("alt+F4")
	s.ended()
}

func (s *screen) ended() {
	s.t.Helper()
	go func(lines <-chan string) {
		for range lines { // what is still told
		}
	}(s.lines)
	select {
	case err := <-s.finished:
		require.NoError(s.t, err, "the program ends well")
	case <-time.After(patience):
		s.t.Fatal("the program does not end")
	}
}

// differ counts the pixels of an area in which two pictures differ by more than
// a few codes.
func differ(a, b image.Image, in image.Rectangle) (n int) {
	for y := in.Min.Y; y < in.Max.Y; y++ {
		for x := in.Min.X; x < in.Max.X; x++ {
			r, g, bl, _ := a.At(x, y).RGBA()
			r2, g2, bl2, _ := b.At(x, y).RGBA()
			if apart(r, r2)+apart(g, g2)+apart(bl, bl2) > 12<<8 {
				n++
			}
		}
	}
	return n
}

func apart(a, b uint32) uint32 { return max(a, b) - min(a, b) }
