package clip

import (
	"encoding/binary"
	"math/bits"
)

// An inflater undoes deflate (RFC 1951) from one slice into another of known
// length, which lets it go without the window and the checks for every byte that
// a stream needs: PNG pictures are two thirds of what an export of them takes. It
// is strict, and gives up without saying why: who calls it has a slower decoder,
// which does.
type inflater struct {
	in  []byte // with inflatePad bytes of any value after its end
	end int    // of the compressed data
	pos int    // of the next byte that is not in buf
	buf uint64 // bits that were read, the next lowest
	n   uint   // how many of them count

	out []byte
	at  int // what is written of it

	// A second table is shared by two codes at the least, and there are 286 and 30.
	literals  [1<<literalBits + 143<<(15-literalBits)]uint32
	distances [1<<distanceBits + 15<<(15-distanceBits)]uint32
	lengths   [320]uint8
}

// Bits of a code that the first table looks at; longer codes go on in a second.
const (
	literalBits  = 11
	distanceBits = 8
)

// inflatePad is how far the inflater reads beyond the end of its input.
const inflatePad = 16

// A table's entry: in its low byte the bits it takes, extra ones included; from
// bit 8 on, four bits, those of the code alone; then what it is; from bit 16 on its
// value: a literal, a length's or distance's base, or where a second table begins,
// whose index has the code's bits.
const (
	isLiteral = 1 << 15
	isEnd     = 1 << 14
	isTable   = 1 << 13
	isWrong   = 1 << 12
)

// inflate fills out from in, which has inflatePad bytes after end. It returns the
// number of bytes of in that the data took; not ok where they are damaged, or not
// exactly as long as out.
func (f *inflater) inflate(out, in []byte, end int) (taken int, ok bool) {
	f.in, f.end, f.pos, f.buf, f.n = in, end, 0, 0, 0
	f.out, f.at = out, 0
	for last := false; !last; {
		f.fill()
		head := f.take(3)
		last = head&1 == 1
		switch head >> 1 {
		case 0:
			ok = f.stored()
		case 1:
			f.fixed()
			ok = f.block()
		case 2:
			ok = f.dynamic() && f.block()
		default:
			return 0, false
		}
		if !ok || f.used() > end {
			return 0, false
		}
	}
	return f.used(), f.at == len(out)
}

// used is how many bytes of the input were taken, the last perhaps in part.
func (f *inflater) used() int { return f.pos - int(f.n/8) }

// fill makes sure of 56 bits. Beyond the end they are of any value.
func (f *inflater) fill() {
	if f.pos > f.end+8 { // used tells that it is beyond
		return
	}
	f.buf |= binary.LittleEndian.Uint64(f.in[f.pos:]) << f.n
	f.pos += int((63 - f.n) >> 3)
	f.n |= 56
}

func (f *inflater) take(n uint) uint {
	v := uint(f.buf) & (1<<n - 1)
	f.buf >>= n
	f.n -= n
	return v
}

// stored copies a block that is not compressed.
func (f *inflater) stored() bool {
	f.take(f.n & 7)
	f.pos -= int(f.n / 8)
	f.buf, f.n = 0, 0
	if f.pos+4 > f.end {
		return false
	}
	n := int(binary.LittleEndian.Uint16(f.in[f.pos:]))
	if n^0xffff != int(binary.LittleEndian.Uint16(f.in[f.pos+2:])) {
		return false
	}
	f.pos += 4
	if f.pos+n > f.end || f.at+n > len(f.out) {
		return false
	}
	f.at += copy(f.out[f.at:], f.in[f.pos:f.pos+n])
	f.pos += n
	return true
}

// fixed sets the tables that section 3.2.6 gives.
func (f *inflater) fixed() {
	for i := range 288 {
		switch {
		case i < 144, i >= 280:
			f.lengths[i] = 8
		case i < 256:
			f.lengths[i] = 9
		default:
			f.lengths[i] = 7
		}
	}
	build(f.literals[:], f.lengths[:288], literalBits, literalEntry)
	for i := range 32 {
		f.lengths[i] = 5
	}
	build(f.distances[:], f.lengths[:32], distanceBits, distanceEntry)
}

// codeOrder is the order of the lengths of codes for lengths: section 3.2.7.
var codeOrder = [19]uint8{16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15}

// dynamic reads a block's own tables.
func (f *inflater) dynamic() bool {
	f.fill()
	literals, distances, codes := int(f.take(5))+257, int(f.take(5))+1, int(f.take(4))+4
	if literals > 286 || distances > 30 {
		return false
	}
	var own [19]uint8
	for _, i := range codeOrder[:codes] {
		f.fill()
		own[i] = uint8(f.take(3))
	}
	plain := func(symbol int) uint32 { return uint32(symbol) << 16 }
	if !build(f.literals[:], own[:], 7, plain) {
		return false
	}
	if !f.readLengths(literals + distances) {
		return false
	}
	return f.lengths[256] != 0 && // a block without an end
		build(f.distances[:], f.lengths[literals:literals+distances], distanceBits, distanceEntry) &&
		build(f.literals[:], f.lengths[:literals], literalBits, literalEntry)
}

// readLengths reads the lengths of all codes, by the table of literals.
func (f *inflater) readLengths(all int) bool {
	for i := 0; i < all; {
		f.fill()
		e := f.literals[f.buf&(1<<7-1)]
		if e&isWrong != 0 || f.used() > f.end {
			return false
		}
		f.take(uint(e & 0xff))
		symbol, value, times := e>>16, uint8(e>>16), 1
		switch symbol {
		case 16:
			if i == 0 {
				return false
			}
			value, times = f.lengths[i-1], 3+int(f.take(2))
		case 17:
			value, times = 0, 3+int(f.take(3))
		case 18:
			value, times = 0, 11+int(f.take(7))
		}
		if i+times > all {
			return false
		}
		for range times {
			f.lengths[i] = value
			i++
		}
	}
	return true
}

// literalEntry is a symbol's entry without its code's length (section 3.2.5).
func literalEntry(symbol int) uint32 {
	switch i := symbol - 257; {
	case symbol < 256:
		return uint32(symbol)<<16 | isLiteral
	case symbol == 256:
		return isEnd
	case i < 8:
		return uint32(3+i) << 16
	case i < 28:
		extra := i/4 - 1
		return uint32(3+(4+i%4)<<extra)<<16 | uint32(extra)
	case i == 28:
		return 258 << 16
	}
	return isWrong
}

func distanceEntry(symbol int) uint32 {
	switch {
	case symbol < 4:
		return uint32(1+symbol) << 16
	case symbol < 30:
		extra := symbol/2 - 1
		return uint32(1+(2+symbol%2)<<extra)<<16 | uint32(extra)
	}
	return isWrong
}

// build makes a table of codes from their lengths. A code that no symbol has is
// wrong where it is met.
func build(table []uint32, lengths []uint8, first uint, entry func(symbol int) uint32) bool {
	next, longest, ok := firstCodes(lengths)
	if !ok {
		return false
	}
	for i := range table[:1<<first] {
		table[i] = isWrong
	}
	free, second := uint32(1)<<first, longest-min(longest, first)
	for symbol, length := range lengths {
		n := uint(length)
		if n == 0 {
			continue
		}
		e := entry(symbol)
		reversed := bits.Reverse32(next[n]) >> (32 - n)
		next[n]++
		if n <= first {
			spread(table[:1<<first], reversed, e, n)
			continue
		}
		at := &table[reversed&(1<<first-1)]
		if *at&isTable == 0 {
			*at = free<<16 | isTable | uint32(second)<<8 | uint32(first)
			for i := range uint32(1) << second {
				table[free+i] = isWrong
			}
			free += 1 << second
		}
		from := *at >> 16
		spread(table[from:from+1<<second], reversed>>first, e, n-first)
	}
	return true
}

// spread sets all entries of a table whose low n bits are a code.
func spread(table []uint32, code, e uint32, n uint) {
	e += uint32(n)<<8 + uint32(n)
	for i := int(code); i < len(table); i += 1 << n {
		table[i] = e
	}
}

// firstCodes returns the first code of each length, as section 3.2.2 has them, and
// the length of the longest. Not ok where there are more codes than fit, or fewer
// than could be, but for a single one of one bit.
func firstCodes(lengths []uint8) (next [16]uint32, longest uint, ok bool) {
	var count [16]uint32
	for _, n := range lengths {
		count[n]++
	}
	used := len(lengths) - int(count[0])
	count[0] = 0
	code := uint32(0)
	for n := 1; n < 16; n++ {
		code = (code + count[n-1]) << 1
		next[n] = code
		if count[n] > 0 {
			longest = uint(n)
		}
		if code+count[n] > 1<<n {
			return next, 0, false
		}
	}
	full := next[15]+count[15] == 1<<15
	return next, longest, used == 0 || full || used == 1 && count[1] == 1
}

// block inflates what follows a block's tables, up to its end. Its variables are
// the inflater's, where the compiler can keep them in registers.
func (f *inflater) block() bool {
	in, out, pos, buf, n, at := f.in, f.out, f.pos, f.buf, f.n, f.at
	limit, literals, distances := f.end+8, &f.literals, &f.distances
	for {
		if pos > limit {
			return false
		}
		buf |= binary.LittleEndian.Uint64(in[pos:]) << (n & 63)
		pos += int((63 - n) >> 3)
		n |= 56
		e := literals[buf&(1<<literalBits-1)]
		// Literals mostly come several at once: three of short codes take 33 bits.
		for k := 0; e&isLiteral != 0 && k < 3; k++ {
			if at >= len(out) {
				return false
			}
			out[at] = byte(e >> 16)
			at++
			buf >>= e & 0x3f
			n -= uint(e & 0x3f)
			e = literals[buf&(1<<literalBits-1)]
		}
		if e&isLiteral != 0 {
			continue
		}
		// 23 bits are left at the least: enough for a length, which takes 20.
		if e&isTable != 0 {
			buf >>= literalBits
			n -= literalBits
			e = literals[(e>>16)+uint32(buf)&(1<<(e>>8&15)-1)]
		}
		length := int(e>>16) + int(uint32(buf&(1<<(e&0x3f)-1))>>(e>>8&15))
		buf >>= e & 0x3f
		n -= uint(e & 0x3f)
		switch {
		case e&isLiteral != 0:
			if at >= len(out) {
				return false
			}
			out[at] = byte(e >> 16)
			at++
			continue
		case e&(isEnd|isWrong) != 0:
			f.pos, f.buf, f.n, f.at = pos, buf, n, at
			return e&isWrong == 0
		}
		if pos > limit {
			return false
		}
		buf |= binary.LittleEndian.Uint64(in[pos:]) << (n & 63)
		pos += int((63 - n) >> 3)
		n |= 56
		e = distances[buf&(1<<distanceBits-1)]
		if e&isTable != 0 {
			buf >>= distanceBits
			n -= distanceBits
			e = distances[(e>>16)+uint32(buf)&(1<<(e>>8&15)-1)]
		}
		distance := int(e>>16) + int(uint32(buf&(1<<(e&0x3f)-1))>>(e>>8&15))
		buf >>= e & 0x3f
		n -= uint(e & 0x3f)
		if e&isWrong != 0 || distance > at || at+length > len(out) {
			return false
		}
		if end := at + length; distance < 8 || end+8 > len(out) {
			repeat(out[at-distance:end], distance)
		} else { // by words, over the end: what is written there comes next
			for to, from := at, at-distance; to < end; to, from = to+8, from+8 {
				binary.LittleEndian.PutUint64(out[to:], binary.LittleEndian.Uint64(out[from:]))
			}
		}
		at += length
	}
}

// repeat fills p beyond its first n bytes with these, over and over.
func repeat(p []byte, n int) {
	for n < len(p) {
		n += copy(p[n:], p[:n])
	}
}
