package colour

import (
	"encoding/binary"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// codePicture is made of 16-bit codes alone, reaching a little over [0,1], so
// that its samples are the same in every build.
func codePicture(w, h int) *Image {
	rng := rand.New(rand.NewPCG(77, 1))
	m := NewImage(w, h)
	for c, p := range m.planes() {
		for i := range p.Pix {
			code := int32(i%w)*300 + int32(c)*9000 + int32(rng.IntN(4000)) - 1000
			if i%7 == 0 {
				code = int32(rng.IntN(68000)) - 1000
			}
			p.Pix[i] = float32(code) / 65535
		}
	}
	return m
}

func hashOf(planes ...Plane) uint64 {
	hash := fnv.New64a()
	for _, p := range planes {
		for _, v := range p.Pix {
			_ = binary.Write(hash, binary.LittleEndian, math.Float32bits(v))
		}
	}
	return hash.Sum64()
}

// Every build and machine gives the same bits: no fused multiply-add, tables
// that do not depend on a library function's last bits. Run it with
// GOAMD64=v1 and v3, each with and without GOEXPERIMENT=simd. A change of a kernel changes its number here; so it does
// every matte's digest.
func TestKernelsGiveTheSameBitsInEveryBuild(t *testing.T) {
	src := codePicture(200, 90)
	smoothed, graded := &Image{}, &Image{}
	require.NoError(t, SmoothNoise(background, smoothed, src, [3]float64{0.012, 0.01, 0.015}, 2))
	require.NoError(t, testBases()["all"].Apply(background, graded, src, 2))
	var hsl, lch channels
	hsl.from(src, 2, HSLRow)
	lch.from(src, 2, LChRow)
	lab := NewImage(200, 90)
	LabRow(lab.R.Pix, lab.G.Pix, lab.B.Pix, src.R.Pix, src.G.Pix, src.B.Pix)
	var mask Plane
	_, err := BeyondRepair(background, &mask, src, testBases()["water"], [3]float64{0.012, 0.01, 0.015}, 2)
	require.NoError(t, err)
	trial := &Image{}
	require.NoError(t, testCDLs()["all"].Apply(background, trial, src, 2))
	noise := NewPlane(3, 1)
	for c, v := range Noise(src) {
		noise.Pix[c] = float32(v)
	}
	for _, k := range []struct {
		name      string
		got, want uint64
	}{
		{"smooth noise", hashOf(smoothed.R, smoothed.G, smoothed.B), 0x8ae287e212e2fe17},
		{"base", hashOf(graded.R, graded.G, graded.B), 0x57791c997b965456},
		{"HSL", hashOf(hsl.H, hsl.S, hsl.L), 0x5fd47eba61f4f54c},
		{"LCh", hashOf(lch.H, lch.S, lch.L), 0xcd509fd6612938a},
		{"Lab", hashOf(lab.R, lab.G, lab.B), 0xb9e33c22d5fc1f00},
		{"beyond repair", hashOf(mask), 0x9a89c789d9335d25},
		{"cdl", hashOf(trial.R, trial.G, trial.B), 0x346e690520dede89},
		{"noise", hashOf(noise), 0x51433729cb5e4c0d},
	} {
		assert.Equal(t, k.want, k.got, "%s: %#x", k.name, k.got)
	}
}
