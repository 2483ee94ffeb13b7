package motion

import (
	"encoding/binary"
	"fmt"
	"math"
)

// flowHead is how many bytes stand before the motion: the frame's width and height.
const flowHead = 8

// mostSide is how wide and high a frame may be that a flow is read for.
const mostSide = 1 << 16

// mostMotion is the most that a node may have: one beside those left out has a part of theirs.
const mostMotion = 2 * Outside

// MarshalBinary writes the flow as bytes: width and height as 32 bits each, then the motion
// to the right of all nodes and that downwards, as 32-bit floats; little-endian.
func (f *Flow) MarshalBinary() ([]byte, error) {
	out := make([]byte, 0, flowHead+f.Bytes())
	out = binary.LittleEndian.AppendUint32(out, uint32(f.w))
	out = binary.LittleEndian.AppendUint32(out, uint32(f.h))
	for _, plane := range [][]float32{f.u, f.v} {
		for _, d := range plane {
			out = binary.LittleEndian.AppendUint32(out, math.Float32bits(d))
		}
	}
	return out, nil
}

// UnmarshalBinary is the inverse of MarshalBinary.
func (f *Flow) UnmarshalBinary(data []byte) error {
	if len(data) < flowHead {
		return fmt.Errorf("motion: flow has %d bytes, want %d or more", len(data), flowHead)
	}
	w, h := binary.LittleEndian.Uint32(data), binary.LittleEndian.Uint32(data[4:])
	if w < 1 || h < 1 || w > mostSide || h > mostSide {
		return fmt.Errorf("motion: flow is of a frame of %d x %d pixels, want 1 to %d each way", w, h, mostSide)
	}
	gw, gh, _ := gridOf(int(w), int(h))
	if data = data[flowHead:]; len(data) != 8*gw*gh {
		return fmt.Errorf("motion: flow of a frame of %d x %d pixels has %d bytes, want %d", w, h, len(data), 8*gw*gh)
	}
	read := Still(int(w), int(h))
	for _, plane := range [][]float32{read.u, read.v} {
		for i := range plane {
			d := math.Float32frombits(binary.LittleEndian.Uint32(data))
			if data = data[4:]; !(math.Abs(float64(d)) <= mostMotion) {
				return fmt.Errorf("motion: flow has a motion of %v pixels, want at most %v", d, float64(mostMotion))
			}
			plane[i] = d
		}
	}
	*f = *read
	return nil
}
