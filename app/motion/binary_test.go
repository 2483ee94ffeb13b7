package motion

import (
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFlowsComeBackFromBytes(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {160, 120}, {301, finestLines + 7}} {
		f := Still(size[0], size[1])
		for i := range f.u {
			f.u[i], f.v[i] = float32(i)*0.37, -float32(i)/3
		}
		data, err := f.MarshalBinary()
		require.NoError(t, err)
		var got Flow
		require.NoError(t, got.UnmarshalBinary(data))
		require.Equal(t, *f, got)
	}
}

func TestFlowsAreNotReadFromOtherBytes(t *testing.T) {
	good, err := Still(16, 12).MarshalBinary()
	require.NoError(t, err)
	with := func(at int, v uint32) []byte {
		out := append([]byte{}, good...)
		binary.LittleEndian.PutUint32(out[at:], v)
		return out
	}
	for name, data := range map[string][]byte{
		"none": nil, "short": good[:len(good)-1], "long": append(good, 0), "no width": with(0, 0), "huge": with(4, 1<<31),
		"other size": with(0, 15), "no number": with(20, math.Float32bits(float32(math.NaN()))), "endless": with(24, math.Float32bits(float32(math.Inf(1)))),
	} {
		f := Still(3, 3)
		require.Error(t, f.UnmarshalBinary(data), name)
		require.Equal(t, *Still(3, 3), *f, "%s: it stays as it was", name)
	}
}
