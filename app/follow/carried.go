package follow

import (
	"encoding/binary"
	"fmt"
	"math"

	"halocline/mask"
)

// A Carried is an outline that came from a key. It has no points where nothing is left.
type Carried struct{ Points []mask.Point }

// pointBytes is what a point takes as bytes.
const pointBytes = 16

// farthest is how far, in pixels, a point may lie that is read.
const farthest = 1 << 20

// Bytes writes the outline as bytes: x and y of each point as 64-bit floats, little-endian.
func (c *Carried) Bytes() []byte {
	out := make([]byte, 0, pointBytes*len(c.Points))
	for _, p := range c.Points {
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(p.X))
		out = binary.LittleEndian.AppendUint64(out, math.Float64bits(p.Y))
	}
	return out
}

// ReadCarried is the inverse of Bytes.
func ReadCarried(data []byte) (*Carried, error) {
	if len(data)%pointBytes != 0 {
		return nil, fmt.Errorf("follow: outline has %d bytes, want a multiple of %d", len(data), pointBytes)
	}
	c := &Carried{}
	for ; len(data) > 0; data = data[pointBytes:] {
		p := mask.Point{X: math.Float64frombits(binary.LittleEndian.Uint64(data)), Y: math.Float64frombits(binary.LittleEndian.Uint64(data[8:]))}
		if !(math.Abs(p.X) <= farthest && math.Abs(p.Y) <= farthest) {
			return nil, fmt.Errorf("follow: outline has a point at (%v, %v), want coordinates of -%d to %d", p.X, p.Y, farthest, farthest)
		}
		c.Points = append(c.Points, p)
	}
	return c, nil
}
