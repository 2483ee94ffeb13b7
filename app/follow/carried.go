package follow

import (
	"encoding/binary"
	"fmt"
	"math"

	"halocline/mask"
)

// A Carried is an outline that came from a key. It has no points where nothing is left.
type Carried struct {
	Points []mask.Point
	// Breaks are those on the way, but for missing frames.
	Breaks Breaks
}

// Sizes in bytes.
const (
	pointBytes = 16
	frameBytes = 8
)

// farthest is how far, in pixels, a point may lie that is read.
const farthest = 1 << 20

// Bytes writes the outline as bytes, little-endian: how many cuts there are, their frames, the
// same of repeated frames, then x and y of each point as 64-bit floats.
func (c *Carried) Bytes() []byte {
	var out []byte
	for _, frames := range [][]int{c.Breaks.Cuts, c.Breaks.Repeats} {
		out = binary.LittleEndian.AppendUint64(out, uint64(len(frames)))
		for _, n := range frames {
			out = binary.LittleEndian.AppendUint64(out, uint64(int64(n)))
		}
	}
	for _, p := range c.Points {
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(p.X))
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(p.Y))
	}
	return out
}

// ReadCarried is the inverse of Bytes.
func ReadCarried(data []byte) (c *Carried, err error) {
	c = &Carried{}
	for _, frames := range []*[]int{&c.Breaks.Cuts, &c.Breaks.Repeats} {
		if *frames, data, err = readFrames(data); err != nil {
			return nil, err
		}
	}
	if len(data)%pointBytes != 0 {
		return nil, fmt.Errorf("follow: outline has %d bytes of points, want a multiple of %d", len(data), pointBytes)
	}
	for ; len(data) > 0; data = data[pointBytes:] {
		p := mask.Point{X: math.Float64frombits(binary.LittleEndian.Uint64(data)), Y: math.Float64frombits(binary.LittleEndian.Uint64(data[8:]))}
		if !(math.Abs(p.X) <= farthest && math.Abs(p.Y) <= farthest) {
			return nil, fmt.Errorf("follow: outline has a point at (%v, %v), want coordinates of -%d to %d", p.X, p.Y, farthest, farthest)
		}
		c.Points = append(c.Points, p)
	}
	return c, nil
}

// readFrames reads a list of frames, and returns what is behind it.
func readFrames(data []byte) (frames []int, rest []byte, err error) {
	if len(data) < frameBytes {
		return nil, nil, fmt.Errorf("follow: outline has %d bytes where a count of frames begins, want %d", len(data), frameBytes)
	}
	n := binary.LittleEndian.Uint64(data)
	if data = data[frameBytes:]; n > uint64(len(data)/frameBytes) {
		return nil, nil, fmt.Errorf("follow: outline has %d bytes for %d frames", len(data), n)
	}
	for range n {
		frames = append(frames, int(int64(binary.LittleEndian.Uint64(data))))
		data = data[frameBytes:]
	}
	return frames, data, nil
}
