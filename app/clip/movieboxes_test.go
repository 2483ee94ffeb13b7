package clip

import (
	"encoding/binary"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The tables of a movie say what the list of its packets says, or nothing.
func TestTablesAgreeWithPackets(t *testing.T) {
	notInShort(t)
	needEncoder(t, "libx264")
	whole := numberedMovie(t, "whole.mp4", 200, "-c:v", "libx264", "-preset", "ultrafast", "-g", "60", "-bf", "3")
	for name, c := range map[string]struct {
		args []string
		want bool
	}{
		"plain.mp4":      {[]string{"-i", whole, "-c", "copy"}, true},
		"front.mov":      {[]string{"-i", whole, "-c", "copy", "-movflags", "faststart"}, true},
		"sound.mov":      {[]string{"-itsoffset", "1.37", "-i", whole, "-f", "lavfi", "-i", "sine=d=3", "-map", "1:a", "-map", "0:v", "-c:v", "copy"}, true},
		"negative.mp4":   {[]string{"-i", whole, "-c", "copy", "-movflags", "negative_cts_offsets"}, true},
		"uneven.mp4":     {[]string{"-i", whole, "-vf", "select='not(mod(n,3))+eq(mod(n,7),1)'", "-vsync", "passthrough", "-c:v", "libx264", "-preset", "ultrafast"}, true},
		"intra.mov":      {[]string{"-i", whole, "-c:v", "mjpeg", "-frames:v", "50"}, true},
		"edited.mp4":     {[]string{"-ss", "3.13", "-i", whole, "-c", "copy"}, false},
		"fragments.mp4":  {[]string{"-i", whole, "-c", "copy", "-movflags", "frag_keyframe+empty_moov"}, false},
		"too-short.mp4":  {[]string{"-i", whole, "-c", "copy", "-frames:v", "20"}, false},
		"no-boxes.mkv":   {[]string{"-i", whole, "-c", "copy"}, false},
		"two-tracks.mp4": {[]string{"-i", whole, "-f", "lavfi", "-i", "testsrc2=d=3", "-map", "0:v", "-map", "1:v", "-c:v:0", "copy", "-c:v:1", "mpeg4"}, true},
	} {
		path := filepath.Join(t.TempDir(), name)
		out, err := exec.Command(decoder, append(append([]string{"-v", "error"}, c.args...), path)...).CombinedOutput()
		require.NoError(t, err, "%s: %s", name, out)
		s, file, err := probeStream(background, path)
		require.NoError(t, err)
		packets, ok := boxedPackets(background, path, &s, microseconds(file.Format.Duration))
		require.Equal(t, c.want, ok, name)
		if !ok {
			continue
		}
		boxed, err := indexOfPackets(background, path, &s, packets)
		require.NoError(t, err)
		listed, err := indexOf(background, path, &s, &file, 0)
		require.NoError(t, err)
		assert.Equal(t, listed, boxed, name)
	}
}

// Whatever a header holds, reading it is no crash and no endless loop.
func FuzzBoxes(f *testing.F) {
	box := func(kind string, content ...byte) []byte {
		return append(append(binary.BigEndian.AppendUint32(nil, uint32(8+len(content))), kind...), content...)
	}
	f.Add(box("moov", box("trak", box("tkhd", make([]byte, 84)...)...)...))
	f.Add([]byte("\x00\x00\x00\x01moov\x00\x00\x00\x00\x00\x00\x00\x10"))
	stbl := box("stbl", append(append(box("stsz", 0, 0, 0, 0, 0, 0, 0, 9, 0, 0, 0, 3), box("stts", 0, 0, 0, 0, 0, 0, 0, 1, 255, 255, 255, 255, 0, 0, 0, 1)...),
		append(box("stsc", 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 1, 255, 255, 255, 255, 0, 0, 0, 1), box("stco", 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 7)...)...)...)
	mdia := box("mdia", append(box("mdhd", make([]byte, 24)...), box("minf", stbl...)...)...)
	f.Add(box("moov", box("trak", append(box("tkhd", make([]byte, 84)...), mdia...)...)...))
	f.Fuzz(func(t *testing.T, b []byte) {
		samples, _ := memory(b).header().track(0)
		if len(samples) > len(b)*1000 {
			t.Skip("a fixed size of samples needs no table")
		}
		samples, _ = boxes(b).track(0)
		_ = samples
	})
}

// Where the programs are, a spoilt header of a real movie is tried.
func TestSpoiltBoxes(t *testing.T) {
	needEncoder(t, "libx264")
	file, err := os.ReadFile(shortMovie(t, "spoilt.mp4"))
	require.NoError(t, err)
	require.NotEmpty(t, memory(file).header())
	r := rand.New(rand.NewPCG(8, 8))
	for range 3000 {
		spoilt := append([]byte{}, file[:min(len(file), 4000)]...)
		for range 1 + r.IntN(3) {
			spoilt[r.IntN(len(spoilt))] = byte(r.IntN(256))
		}
		memory(spoilt).header().track(1)
	}
}
