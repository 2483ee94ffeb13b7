package selection

// convolve writes the sum of 2n-1 taps under a symmetric kernel of n weights,
// the middle's first: weight 0 times the middle, then weight d times the sum of
// the taps d before and d after, added in this order.
func convolve(dst []float32, taps [][]float32, weight []float32) {
	middle := len(weight) - 1
	centre, w := taps[middle][:len(dst)], weight[0]
	d := 1
	if middle >= 4 {
		foldFirst(dst, centre, taps, middle, weight)
		d = 5
	} else {
		for x, v := range centre {
			dst[x] = float32(w * v)
		}
	}
	for ; d+3 <= middle; d += 4 {
		foldFour(dst, taps, middle, d, weight)
	}
	for ; d <= middle; d++ {
		foldOne(dst, taps[middle-d], taps[middle+d], weight[d])
	}
}

func foldFirstPlain(dst, centre []float32, taps [][]float32, middle int, weight []float32) {
	n := len(dst)
	l1, l2, l3, l4 := taps[middle-1][:n], taps[middle-2][:n], taps[middle-3][:n], taps[middle-4][:n]
	r1, r2, r3, r4 := taps[middle+1][:n], taps[middle+2][:n], taps[middle+3][:n], taps[middle+4][:n]
	w0, w1, w2, w3, w4 := weight[0], weight[1], weight[2], weight[3], weight[4]
	for x, v := range centre[:n] {
		v = float32(w0*v) + float32(w1*(l1[x]+r1[x]))
		v += float32(w2 * (l2[x] + r2[x]))
		v += float32(w3 * (l3[x] + r3[x]))
		dst[x] = v + float32(w4*(l4[x]+r4[x]))
	}
}

func foldFourPlain(dst []float32, taps [][]float32, middle, d int, weight []float32) {
	n := len(dst)
	l1, l2, l3, l4 := taps[middle-d][:n], taps[middle-d-1][:n], taps[middle-d-2][:n], taps[middle-d-3][:n]
	r1, r2, r3, r4 := taps[middle+d][:n], taps[middle+d+1][:n], taps[middle+d+2][:n], taps[middle+d+3][:n]
	w1, w2, w3, w4 := weight[d], weight[d+1], weight[d+2], weight[d+3]
	for x, v := range dst {
		v += float32(w1 * (l1[x] + r1[x]))
		v += float32(w2 * (l2[x] + r2[x]))
		v += float32(w3 * (l3[x] + r3[x]))
		dst[x] = v + float32(w4*(l4[x]+r4[x]))
	}
}

func foldOnePlain(dst, left, right []float32, w float32) {
	left, right = left[:len(dst)], right[:len(dst)]
	for x, v := range dst {
		dst[x] = v + float32(w*(left[x]+right[x]))
	}
}

// weighRows writes the weighted sum of rows, added in their order.
func weighRows(dst []float32, rows [][]float32, weight []float32) {
	clear(dst)
	i := 0
	for ; i+3 < len(rows); i += 4 {
		weighFour(dst, rows[i:i+4], weight[i:i+4])
	}
	for ; i < len(rows); i++ {
		row, w := rows[i][:len(dst)], weight[i]
		for x, v := range dst {
			dst[x] = v + float32(w*row[x])
		}
	}
}

func weighFourPlain(dst []float32, rows [][]float32, weight []float32) {
	n := len(dst)
	a, b, c, d := rows[0][:n], rows[1][:n], rows[2][:n], rows[3][:n]
	wa, wb, wc, wd := weight[0], weight[1], weight[2], weight[3]
	for x, v := range dst {
		v += float32(wa * a[x])
		v += float32(wb * b[x])
		v += float32(wc * c[x])
		dst[x] = v + float32(wd*d[x])
	}
}
