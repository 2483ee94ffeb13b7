package clip

import (
	"bytes"
	"context"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"halocline/app/program"
)

// The programs that read movies.
const (
	prober  = "ffprobe"
	decoder = "ffmpeg"
)

// containers are the demuxers that the programs may use, by ffmpeg's names for
// them ("ffmpeg -demuxers"): those of the kinds of movie that are read. Others read
// what is no movie but a list of other files, such as an HLS playlist or a concat
// script, and open these.
var containers = strings.Join([]string{
	"mov,mp4,m4a,3gp,3g2,mj2", // MP4, QuickTime, 3GP
	"matroska,webm",
	"avi", "mxf", "mpegts",
	"mpeg", "mpegvideo", // program stream, video alone
	"asf", // WMV
	"ogg", "flv", "yuv4mpegpipe", "ivf",
}, ",")

// whatIsPlayed names the containers in messages.
const whatIsPlayed = "a movie in MP4, QuickTime, 3GP, Matroska, WebM, AVI, MXF, MPEG, WMV, Ogg, FLV, Y4M or IVF"

// confined are the options of both programs that keep them to the one file they are
// given (man ffmpeg-formats: format_whitelist; man ffmpeg-protocols:
// protocol_whitelist).
func confined() []string {
	return []string{"-protocol_whitelist", "file", "-format_whitelist", containers, "-fflags", "+discardcorrupt"}
}

// locate returns where one of the programs is, for the movie at path.
func locate(name, path string) (string, error) {
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
	at, err := locate(prober, path)
	if err != nil {
		return nil, err
	}
	all := append([]string{"-v", "error", "-hide_banner"}, confined()...)
	cmd := program.Command(ctx, at, append(append(all, args...), inputOf(path))...)
	var out, complaints bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &complaints
	err = program.Run(cmd)
	switch {
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil && strings.Contains(complaints.String(), notListed):
		return nil, &Error{path, "it is of a kind that ffprobe knows and that is not read here", whatIsPlayed, ErrUnsupported, err}
	case err != nil:
		said := lastWords(complaints.String())
		if said == "" {
			said = err.Error()
		}
		return nil, &Error{path, "a movie that ffprobe cannot read (" + said + ")", "a whole movie", ErrDamaged, err}
	}
	return out.Bytes(), nil
}

// notListed is what the programs say of a file whose kind is none of containers.
const notListed = "Format not on whitelist"

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
func passthrough(ctx context.Context, decoder string) (string, error) {
	if old, ok := oldNames.Load(decoder); ok {
		return old.(string), nil
	}
	name := "-fps_mode"
	var out bytes.Buffer
	cmd := program.Command(ctx, decoder, "-version")
	cmd.Stdout = &out
	err := program.Run(cmd)
	if ctx.Err() != nil {
		return "", ctx.Err()
	}
	if m := versionOf.FindSubmatch(out.Bytes()); err == nil && m != nil {
		major, _ := strconv.Atoi(string(m[1]))
		minor, _ := strconv.Atoi(string(m[2]))
		if major < 5 || major == 5 && minor < 1 {
			name = "-vsync"
		}
	}
	oldNames.Store(decoder, name)
	return name, nil
}

var (
	oldNames  sync.Map // option by the decoder's path
	versionOf = regexp.MustCompile(`^ffmpeg version n?(\d+)\.(\d+)`)
)
