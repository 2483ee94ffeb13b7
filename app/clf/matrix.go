package clf

// A Matrix is the node of that name: rows of factors of red, green and blue, and what is
// added.
type Matrix struct {
	Rows   [3][3]float64
	Offset [3]float64
}

// Diagonal returns the matrix that leaves the channels apart.
func Diagonal(factors, offset [3]float64) Matrix {
	m := Matrix{Offset: offset}
	for c := range factors {
		m.Rows[c][c] = factors[c]
	}
	return m
}

func (m Matrix) run(v [3]float64) (out [3]float64) {
	for i, row := range m.Rows {
		out[i] = row[0]*v[0] + row[1]*v[1] + row[2]*v[2] + m.Offset[i]
	}
	return out
}

// A Range is the node of that name: it scales and clamps. Each end is a value that comes
// in and what it becomes; where there is one end alone, nothing is scaled.
type Range struct {
	Min, Max *End
	NoClamp  bool
}

// An End is one end of a range.
type End struct{ In, Out float64 }

// Clamp returns the range that limits values to [low,high].
func Clamp(low, high float64) Range { return Range{Min: &End{low, low}, Max: &End{high, high}} }

func (r Range) run(v [3]float64) [3]float64 {
	for i, x := range v {
		if r.Min != nil && r.Max != nil {
			scale := (r.Max.Out - r.Min.Out) / (r.Max.In - r.Min.In)
			x = x*scale + r.Min.Out - r.Min.In*scale
		}
		if r.Min != nil && !r.NoClamp {
			x = max(r.Min.Out, x)
		}
		if r.Max != nil && !r.NoClamp {
			x = min(r.Max.Out, x)
		}
		v[i] = x
	}
	return v
}
