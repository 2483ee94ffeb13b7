package colour

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
)

// LumaWeights are the shares of red and blue in luma; green has the rest.
type LumaWeights struct{ Red, Blue float64 }

// The weights of the standards, as Rec. ITU-T H.273 lists them in table 4.
var (
	Luma601  = LumaWeights{0.299, 0.114}   // Rec. ITU-R BT.601-7, 2.5.1; JFIF (ITU-T T.871)
	Luma709  = LumaWeights{0.2126, 0.0722} // Rec. ITU-R BT.709-6, 3.2
	Luma2020 = LumaWeights{0.2627, 0.0593} // Rec. ITU-R BT.2020-2, table 4, non-constant luminance
	Luma240M = LumaWeights{0.212, 0.087}
	LumaFCC  = LumaWeights{0.30, 0.11} // United States 47 CFR 73.682
)

// The names of weights and ranges, as settings have them.
var (
	lumaNames  = []string{"bt601", "bt709", "bt2020"}
	lumaValues = []LumaWeights{Luma601, Luma709, Luma2020}
	rangeNames = []string{"limited", "full"}
)

// LumaNames returns the names of the weights that may be chosen.
func LumaNames() []string { return slices.Clone(lumaNames) }

// RangeNames returns the names of the ranges of codes: "limited" and "full".
func RangeNames() []string { return slices.Clone(rangeNames) }

// LumaNamed returns the weights of a name.
func LumaNamed(name string) (LumaWeights, error) {
	if i := slices.Index(lumaNames, name); i >= 0 {
		return lumaValues[i], nil
	}
	return LumaWeights{}, fmt.Errorf("colour: matrix is %q, want one of %s", name, strings.Join(lumaNames, ", "))
}

// IsFull reports whether a range's name means full; it is one of RangeNames.
func IsFull(name string) (bool, error) {
	if i := slices.Index(rangeNames, name); i >= 0 {
		return i == 1, nil
	}
	return false, fmt.Errorf("colour: range is %q, want limited or full", name)
}

// A Coding is how a component of [0,1] is written as whole numbers, its codes.
type Coding struct {
	Bits int  // 8 to 16; a code above 8 bits takes two bytes, the low one first
	Full bool // codes 0 to 2^Bits-1; else 16 to 235, chroma 16 to 240, times 2^(Bits-8) (BT.709-6, 4.6; BT.2100-2, table 9)
}

// luma returns the code of 0 and how many codes lie between it and that of 1;
// for chroma between -1/2 and 1/2.
func (c Coding) luma() (black, span float64) {
	if c.Full {
		return 0, float64(int(1)<<c.Bits - 1)
	}
	return float64(int(16) << (c.Bits - 8)), float64(int(219) << (c.Bits - 8))
}

func (c Coding) chroma() (zero, span float64) {
	zero = float64(int(128) << (c.Bits - 8))
	if c.Full {
		return zero, float64(int(1)<<c.Bits - 1)
	}
	return zero, float64(int(224) << (c.Bits - 8))
}

// CodeBytes is the size of a code.
func (c Coding) CodeBytes() int { return (c.Bits + 7) / 8 }

// Row writes the components of codes, clamped to [0,1], to dst: of luma, of grey,
// and of R, G and B. codes has CodeBytes for each sample of dst.
func (c Coding) Row(dst []float32, codes []byte) {
	components(dst, codes, c, tableOf(c, Luma601).clamped)
}

// A ycbcrTable turns Y'CbCr codes into the terms of R, G and B in [0,1]:
//
//	R = Y + 2 (1-Kr) Cr
//	B = Y + 2 (1-Kb) Cb
//	G = (Y - Kr R - Kb B) / (1-Kr-Kb)
//
// It holds what each code adds, so that grey (both chromas at their zero) is Y
// itself. Above 8 bits each table has 2^Bits entries.
type ycbcrTable struct {
	luma, clamped                           []float32 // clamped: within [0,1]
	redOfCr, greenOfCr, blueOfCb, greenOfCb []float32
}

type tableKey struct {
	Coding
	LumaWeights
}

// ycbcrTables keeps the tables that were asked for.
var ycbcrTables struct {
	sync.RWMutex
	of map[tableKey]*ycbcrTable
}

func tableOf(c Coding, k LumaWeights) *ycbcrTable {
	key := tableKey{c, k}
	ycbcrTables.RLock()
	t := ycbcrTables.of[key]
	ycbcrTables.RUnlock()
	if t != nil {
		return t
	}
	ycbcrTables.Lock()
	defer ycbcrTables.Unlock()
	if t := ycbcrTables.of[key]; t != nil { // another one was quicker
		return t
	}
	if ycbcrTables.of == nil {
		ycbcrTables.of = map[tableKey]*ycbcrTable{}
	}
	t = newYCbCrTable(c, k)
	ycbcrTables.of[key] = t
	return t
}

func newYCbCrTable(c Coding, k LumaWeights) *ycbcrTable {
	n := 1 << c.Bits
	buffer := make([]float32, 6*n)
	next := func() []float32 {
		part := buffer[:n:n]
		buffer = buffer[n:]
		return part
	}
	t := &ycbcrTable{next(), next(), next(), next(), next(), next()}
	green := 1 - k.Red - k.Blue
	black, span := c.luma()
	zero, width := c.chroma()
	for i := range n {
		t.luma[i] = term((float64(i) - black) / span)
		if c.Full {
			t.luma[i] = float32(float64(i) / span) // v/255 and its kin, rounded once
		}
		t.clamped[i] = within(t.luma[i])
		chroma := (float64(i) - zero) / width
		t.redOfCr[i] = term(2 * (1 - k.Red) * chroma)
		t.blueOfCb[i] = term(2 * (1 - k.Blue) * chroma)
		t.greenOfCr[i] = term(-2 * (1 - k.Red) * k.Red / green * chroma)
		t.greenOfCb[i] = term(-2 * (1 - k.Blue) * k.Blue / green * chroma)
	}
	return t
}

// term rounds to a multiple of 2^-24, which sums keep exact.
func term(v float64) float32 { return float32(math.Round(v*(1<<24)) / (1 << 24)) }

// within clamps v to [0,1].
func within(v float32) float32 {
	if v < 0 {
		return 0
	}
	if v > 1 {
		return 1
	}
	return v
}

// components looks codes up. Codes beyond Bits, which only damage makes, lose
// their upper bits.
func components(dst []float32, codes []byte, c Coding, table []float32) {
	if c.Bits == 8 {
		t := (*[256]float32)(table)
		codes = codes[:len(dst)]
		for i, v := range codes {
			dst[i] = t[v]
		}
		return
	}
	if c.Bits == 10 {
		t := (*[1024]float32)(table)
		for i := range dst {
			if len(codes) < 2 {
				break
			}
			dst[i] = t[binary.LittleEndian.Uint16(codes)&1023]
			codes = codes[2:]
		}
		return
	}
	mask := len(table) - 1
	for i := range dst {
		dst[i] = table[int(binary.LittleEndian.Uint16(codes[2*i:]))&mask]
	}
}

// A YCbCr is a picture of luma and chroma codes, as decoders give it.
type YCbCr struct {
	W, H         int
	Across, Down uint // binary logarithms of the pixels for one sample of chroma: 0 to 2, 0 to 1
	Coding
	Weights          LumaWeights
	Siting           Siting
	Y, Cb, Cr        []byte // rows from the top
	YStride, CStride int    // bytes from row to row
}

// RowReader returns a function that writes row y of the picture, W samples each
// of R, G and B. It may be called for rows in any order and from several
// goroutines.
func (m *YCbCr) RowReader() func(y int, r, g, b []float32) {
	pool, t := new(Pool[chromaRows]), tableOf(m.Coding, m.Weights)
	return func(y int, r, g, b []float32) {
		c := pool.Take()
		defer pool.Give(c)
		c.prepare(m, t)
		components(c.luma, m.Y[y*m.YStride:], m.Coding, t.luma)
		terms := c.at(y)
		adders[m.Across][m.Siting.X](r, g, b, c.luma, terms)
	}
}
