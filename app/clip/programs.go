package clip

import (
	"bytes"
	"context"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"sync"
)

// The programs that read movies.
const (
	prober  = "ffprobe"
	decoder = "ffmpeg"
)

// program returns where one of the programs is, for the movie at path.
func program(name, path string) (string, error) {
	at, err := exec.LookPath(name)
	if err != nil {
		return "", &Error{path, "it is a movie, and the program " + name + " that reads movies is not there",
			"ffmpeg and ffprobe on the PATH (Debian, Ubuntu: apt install ffmpeg; macOS: brew install ffmpeg; Windows: winget install ffmpeg)", ErrProgram, err}
	}
	return at, nil
}

// inputOf is a path as the programs take it: never for an option, another
// protocol or a pattern.
func inputOf(path string) string { return "file:" + path }

// probe runs ffprobe on a movie and returns what it prints.
func probe(ctx context.Context, path string, args ...string) ([]byte, error) {
	at, err := program(prober, path)
	if err != nil {
		return nil, err
	}
	args = append([]string{"-v", "error", "-hide_banner", "-protocol_whitelist", "file", "-fflags", "+discardcorrupt"}, args...)
	cmd := exec.CommandContext(ctx, at, append(args, inputOf(path))...)
	var out, complaints bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &complaints
	err = cmd.Run()
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		said := lastWords(complaints.String())
		if said == "" {
			said = err.Error()
		}
		return nil, &Error{path, "a movie that ffprobe cannot read (" + said + ")", "a whole movie", ErrDamaged, err}
	}
	return out.Bytes(), nil
}

// lastWords returns the last thing a program said, without its own marks.
func lastWords(said string) string {
	lines := strings.Split(strings.TrimSpace(said), "\n")
	for i := len(lines) - 1; i >= 0; i-- {
		line := strings.TrimSpace(ownMarks.ReplaceAllString(lines[i], ""))
		// "file:x.mp4: Invalid data found" tells less than the line before it.
		if line != "" && (i == 0 || !strings.HasPrefix(line, "file:")) {
			return line
		}
	}
	return ""
}

// ownMarks are what the programs put before a message: "[mov,mp4 @ 0x55] [error] ".
var ownMarks = regexp.MustCompile(`^(\[[^]]*\] ?)+`)

// passthrough is the option by which ffmpeg gives each frame once and leaves
// none out; its name changed with version 5.1.
func passthrough(decoder string) string {
	if old, ok := oldNames.Load(decoder); ok {
		return old.(string)
	}
	name := "-fps_mode"
	out, err := exec.Command(decoder, "-version").Output()
	if m := versionOf.FindSubmatch(out); err == nil && m != nil {
		major, _ := strconv.Atoi(string(m[1]))
		minor, _ := strconv.Atoi(string(m[2]))
		if major < 5 || major == 5 && minor < 1 {
			name = "-vsync"
		}
	}
	oldNames.Store(decoder, name)
	return name
}

var (
	oldNames  sync.Map // option by the decoder's path
	versionOf = regexp.MustCompile(`^ffmpeg version n?(\d+)\.(\d+)`)
)
