package mask

import (
	"encoding/binary"
	"hash/fnv"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every build gives the same bits: run it with GOAMD64=v1 and v3. A change
// here changes every matte with a mask.
func TestSameBitsInEveryBuild(t *testing.T) {
	hash := fnv.New64a()
	for _, rounded := range []bool{false, true} {
		for _, f := range feathers {
			for _, factor := range []int{1, 3} {
				s := Shape{Points: blob(60, 300, 200), Rounded: rounded, Inner: f[0], Outer: f[1], Opacity: 0.9}
				for i := range s.Points { // from exact numbers, not from the last bits of a sine
					s.Points[i] = Point{math.Round(s.Points[i].X*1000) / 1000, math.Round(s.Points[i].Y*1000) / 1000}
				}
				for _, v := range draw(t, s, Region{0, 0, 300, 200, factor}, 2).Pix {
					_ = binary.Write(hash, binary.LittleEndian, math.Float32bits(v))
				}
			}
		}
	}
	assert.Equal(t, uint64(0x7c494b8587c5aa15), hash.Sum64())
}
