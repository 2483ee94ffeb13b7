package clip

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// lists of another file: as HLS playlist (RFC 8216) and as concat script (man
// ffmpeg-formats, "concat"), plain and with a byte that no text has.
func listsOf(other string) map[string]string {
	return map[string]string{
		"playlist":        "#EXTM3U\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nfile://" + other + "\n#EXT-X-ENDLIST\n",
		"AVI playlist":    "#EXTM3U\nAVI \n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nfile://" + other + "\n#EXT-X-ENDLIST\n",
		"odd playlist":    "#EXTM3U\n#\x01\n#EXT-X-TARGETDURATION:1\n#EXTINF:1,\nfile://" + other + "\n#EXT-X-ENDLIST\n",
		"concat script":   "ffconcat version 1.0\nfile " + filepath.Base(other) + "\n",
		"odd script":      "ffconcat version 1.0\n#\x01\nfile " + filepath.Base(other) + "\n",
		"odd script, own": "ffconcat version 1.0\r\n# \x01\r\nfile '" + filepath.Base(other) + "'\r\n",
	}
}

// A list of other files under a movie's name is refused, with what it is, and no
// program sees it.
func TestAListOfFilesIsNoMovie(t *testing.T) {
	needPrograms(t)
	other := numberedMovie(t, "other.ts", 5)
	log := logPrograms(t)
	for what, text := range listsOf(other) {
		for _, ending := range []string{".mkv", ".mp4", ".avi"} {
			path := filepath.Join(filepath.Dir(other), strings.ReplaceAll(what, " ", "")+ending)
			require.NoError(t, os.WriteFile(path, []byte(text), 0o666))
			want := "a concat script, which names other files"
			if strings.Contains(what, "playlist") {
				want = "a playlist, which names other files"
			}
			_, err := Open(path)
			require.ErrorIs(t, err, ErrNotPicture, "%s as %s", what, ending)
			assert.ErrorContains(t, err, want)
			checkWords(t, path, err)
			_, err = OpenMovie(t.Context(), path, Options{})
			require.ErrorIs(t, err, ErrNotPicture, "%s as %s", what, ending)
			assert.ErrorContains(t, err, want+", want a movie in MP4")
			checkWords(t, path, err)
		}
	}
	assert.Empty(t, log(), "no program was asked")
}

// Of the kinds that ffmpeg tells by their content and that are not read here, such
// as a DASH manifest or a still, the program opens none.
func TestOtherKindsAreRefusedByTheProgram(t *testing.T) {
	notInShort(t)
	needPrograms(t)
	still := filepath.Join(t.TempDir(), "still.sgi")
	out, err := exec.Command(decoder, "-v", "error", "-f", "lavfi", "-i", "testsrc=s=32x32", "-frames:v", "1", still).CombinedOutput()
	require.NoError(t, err, string(out))
	picture, err := os.ReadFile(still)
	require.NoError(t, err)
	for name, content := range map[string]string{
		"manifest.mp4": "<?xml version=\"1.0\"?><!-- \x01 --><MPD xmlns=\"urn:mpeg:dash:schema:mpd:2011\" profiles=\"urn:mpeg:dash:profile:isoff-main:2011\"></MPD>",
		"still.mkv":    string(picture),
	} {
		path := saved(t, name, []byte(content))
		_, err := OpenMovie(t.Context(), path, Options{})
		require.ErrorIs(t, err, ErrUnsupported, name)
		assert.ErrorContains(t, err, "a kind that ffprobe knows and that is not read here, want a movie in MP4")
		checkWords(t, path, err)
	}
}

// logPrograms puts scripts before the programs that note each call, and returns what
// reads the notes: a line for each call.
func logPrograms(t *testing.T) func() []string {
	t.Helper()
	if runtime.GOOS == "windows" {
		t.Skip("the scripts are for a Unix shell")
	}
	folder := t.TempDir()
	log := filepath.Join(folder, "log")
	for _, name := range []string{prober, decoder} {
		real, err := exec.LookPath(name)
		require.NoError(t, err)
		script := "#!/bin/sh\necho " + name + " \"$@\" >>" + log + "\nexec " + real + " \"$@\"\n"
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(script), 0o777))
	}
	t.Setenv("PATH", folder+string(filepath.ListSeparator)+os.Getenv("PATH"))
	return func() []string {
		text, _ := os.ReadFile(log)
		return strings.FieldsFunc(string(text), func(r rune) bool { return r == '\n' })
	}
}

// Every call of a program that is given a file keeps it to that file and to the
// containers that are read, before the file is named (man ffmpeg-formats:
// format_whitelist; man ffmpeg-protocols: protocol_whitelist).
func TestProgramsAreConfined(t *testing.T) {
	path := shortMovie(t, "confined.mp4")
	log := logPrograms(t)
	c := openTest(t, path)
	require.Equal(t, 7, numberOf(t, c, 7))
	seen := map[string]int{}
	for _, call := range log() {
		if strings.HasSuffix(call, " -version") {
			continue
		}
		name, _, _ := strings.Cut(call, " ")
		seen[name]++
		options, _, named := strings.Cut(call, "file:"+path)
		require.True(t, named, call)
		assert.Contains(t, options, " -protocol_whitelist file ", call)
		assert.Contains(t, options, " -format_whitelist mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,", call)
	}
	assert.GreaterOrEqual(t, seen[prober], 2)
	assert.GreaterOrEqual(t, seen[decoder], 1)
}

// The names of containers are demuxers of the ffmpeg that is there, as "ffmpeg
// -demuxers" lists them.
func TestContainersAreDemuxers(t *testing.T) {
	needPrograms(t)
	out, err := exec.Command(decoder, "-v", "error", "-demuxers").Output()
	require.NoError(t, err)
	has := map[string]bool{}
	for line := range strings.Lines(string(out)) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "D" {
			for _, name := range strings.Split(f[1], ",") {
				has[name] = true
			}
		}
	}
	for _, name := range strings.Split(containers, ",") {
		assert.True(t, has[name], name)
	}
	for _, list := range []string{"hls", "concat", "dash", "image2", "sdp"} {
		assert.NotContains(t, strings.Split(containers, ","), list)
	}
}

// Every ending by which movies are offered is of a container that is read.
func TestEveryMovieEndingIsRead(t *testing.T) {
	notInShort(t)
	needPrograms(t)
	for _, ending := range MovieEndings() {
		codec := []string{"-c:v", "mpeg2video"}
		switch ending {
		case ".webm":
			needEncoder(t, "libvpx")
			codec = []string{"-c:v", "libvpx"}
		case ".wmv":
			codec = []string{"-c:v", "wmv2"}
		case ".3gp", ".m4v":
			codec = []string{"-c:v", "mpeg4"}
		}
		path := numberedMovie(t, "m"+ending, 5, append(codec, "-q:v", "2")...)
		c, err := Open(path)
		if assert.NoError(t, err, ending) {
			assert.GreaterOrEqual(t, c.Count(), 4, ending)
			assert.NoError(t, c.Close())
		}
	}
}
