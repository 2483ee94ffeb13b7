package clip

import "encoding/binary"

// Filters of the PNG specification, section 9.2: what each byte was reduced by.
const (
	filterNone = iota
	filterSub  // the byte one pixel to the left
	filterUp   // the one above
	filterMean // the mean of both
	filterPaeth
)

// unfilter makes a picture's rows what they were before they were filtered.
func (p *pngPicture) unfilter() bool {
	stride, px := p.w*p.pixel(), p.pixel()
	above := make([]byte, stride)
	for y := range p.h {
		row := p.row(y)
		switch p.rows[y*(1+stride)] {
		case filterNone:
		case filterSub:
			addLeft(row, px)
		case filterUp:
			addAbove(row, above)
		case filterMean:
			addMean(row, above, px)
		case filterPaeth:
			addPaeth(row, above, px)
		default:
			return false
		}
		above = row
	}
	return true
}

// Filters that read the pixel to the left take three of its bytes at a time: each
// waits for the one before it, and three such waits side by side take little more
// than one.
func eachThree(px int, three, one func(from int)) {
	from := 0
	for ; from+3 <= px; from += 3 {
		three(from)
	}
	for ; from < px; from++ {
		one(from)
	}
}

func addLeft(row []byte, px int) {
	eachThree(px, func(from int) {
		a0, a1, a2 := row[from], row[from+1], row[from+2]
		for i := from + px; i+3 <= len(row); i += px {
			to := row[i : i+3 : i+3]
			a0, a1, a2 = a0+to[0], a1+to[1], a2+to[2]
			to[0], to[1], to[2] = a0, a1, a2
		}
	}, func(from int) {
		a := row[from]
		for i := from + px; i < len(row); i += px {
			a += row[i]
			row[i] = a
		}
	})
}

// addAbove adds eight bytes at a time: carries stop at the top bit of each, which
// is put right after.
func addAbove(row, above []byte) {
	const tops = 0x8080808080808080
	above = above[:len(row)]
	i := 0
	for ; i+8 <= len(row); i += 8 {
		a, b := binary.LittleEndian.Uint64(row[i:]), binary.LittleEndian.Uint64(above[i:])
		binary.LittleEndian.PutUint64(row[i:], (a&^tops+b&^tops)^((a^b)&tops))
	}
	for ; i < len(row); i++ {
		row[i] += above[i]
	}
}

func addMean(row, above []byte, px int) {
	above = above[:len(row)]
	for i := range min(px, len(row)) {
		row[i] += above[i] / 2
	}
	eachThree(px, func(from int) {
		a0, a1, a2 := uint32(row[from]), uint32(row[from+1]), uint32(row[from+2])
		for i := from + px; i+3 <= len(row); i += px {
			to, up := row[i:i+3:i+3], above[i:i+3:i+3]
			a0 = (uint32(to[0]) + (a0+uint32(up[0]))>>1) & 0xff
			a1 = (uint32(to[1]) + (a1+uint32(up[1]))>>1) & 0xff
			a2 = (uint32(to[2]) + (a2+uint32(up[2]))>>1) & 0xff
			to[0], to[1], to[2] = byte(a0), byte(a1), byte(a2)
		}
	}, func(from int) {
		a := uint32(row[from])
		for i := from + px; i < len(row); i += px {
			a = (uint32(row[i]) + (a+uint32(above[i]))>>1) & 0xff
			row[i] = byte(a)
		}
	})
}

func addPaeth(row, above []byte, px int) {
	above = above[:len(row)]
	for i := range min(px, len(row)) {
		row[i] += above[i]
	}
	eachThree(px, func(from int) {
		a0, a1, a2 := int(row[from]), int(row[from+1]), int(row[from+2])
		c0, c1, c2 := int(above[from]), int(above[from+1]), int(above[from+2])
		for i := from + px; i+3 <= len(row); i += px {
			to, up := row[i:i+3:i+3], above[i:i+3:i+3]
			b0, b1, b2 := int(up[0]), int(up[1]), int(up[2])
			a0 = (int(to[0]) + paeth(a0, b0, c0)) & 0xff
			a1 = (int(to[1]) + paeth(a1, b1, c1)) & 0xff
			a2 = (int(to[2]) + paeth(a2, b2, c2)) & 0xff
			to[0], to[1], to[2] = byte(a0), byte(a1), byte(a2)
			c0, c1, c2 = b0, b1, b2
		}
	}, func(from int) {
		a, c := int(row[from]), int(above[from])
		for i := from + px; i < len(row); i += px {
			b := int(above[i])
			a = (int(row[i]) + paeth(a, b, c)) & 0xff
			row[i] = byte(a)
			c = b
		}
	})
}

// paeth is the one of a (left), b (above) and c (above left) that a+b-c is nearest
// to; of equally near ones the first.
func paeth(a, b, c int) int {
	pa, pb := b-c, a-c
	pc := distance0(pa + pb)
	pa, pb = distance0(pa), distance0(pb)
	near, far := a, pa
	if pb < far {
		near, far = b, pb
	}
	if pc < far {
		near = c
	}
	return near
}

func distance0(v int) int {
	sign := v >> 63
	return (v ^ sign) - sign
}
