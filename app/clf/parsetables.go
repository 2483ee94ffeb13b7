package clf

func parseLUT1D(e *element, _, out float64) (Node, error) {
	if _, err := e.choice("interpolation", "linear", []string{"linear"}); err != nil {
		return nil, err
	}
	halfDomain, err := e.isTrue("halfDomain")
	if err != nil {
		return nil, err
	}
	rawHalfs, err := e.isTrue("rawHalfs")
	if err != nil {
		return nil, err
	}
	a, dim, err := e.array()
	switch {
	case err != nil:
		return nil, err
	case len(dim) != 2 || dim[1] != 1 && dim[1] != 3:
		return nil, a.fail("dim of a LUT1D is %v, want a length and 1 or 3", dim)
	case halfDomain && dim[0] != longest1D:
		return nil, a.fail("a LUT1D with halfDomain has %d entries, want %d", dim[0], longest1D)
	case dim[0] < 2:
		return nil, a.fail("a LUT1D has %d entry, want 2 or more", dim[0])
	}
	read := finite
	switch {
	case rawHalfs:
		read = rawHalf
	case halfDomain:
		read = anyNumber
	}
	t := LUT1D{HalfDomain: halfDomain, Channels: dim[1]}
	if t.Values, err = eachNumber(a, dim[0]*dim[1], read); err != nil {
		return nil, err
	}
	normalise(t.Values, out)
	return t, nil
}

// normalise divides a table's values by the full code, and keeps the 32 bits of them that
// work is done with.
func normalise(values []float64, full float64) {
	for i, v := range values {
		values[i] = float64(float32(v / full))
	}
}

func parseLUT3D(e *element, _, out float64) (Node, error) {
	style, err := e.choice("interpolation", "trilinear", []string{"trilinear", "tetrahedral"})
	if err != nil {
		return nil, err
	}
	a, dim, err := e.array()
	switch {
	case err != nil:
		return nil, err
	case len(dim) != 4 || dim[0] != dim[1] || dim[1] != dim[2] || dim[3] != 3:
		return nil, a.fail("dim of a LUT3D is %v, want three times the same and 3", dim)
	case dim[0] < 2 || dim[0] > longest3D:
		return nil, a.fail("a LUT3D has sides of %d, want 2 to %d", dim[0], longest3D)
	}
	t := LUT3D{Side: dim[0], Tetrahedral: style == "tetrahedral"}
	if t.Values, err = a.numbers(dim[0] * dim[0] * dim[0] * 3); err != nil {
		return nil, err
	}
	normalise(t.Values, out)
	return t, nil
}
