package selection

// A Component is a 4-connected set of pixels.
type Component struct {
	Area        int
	X0, Y0      int // the box around it
	X1, Y1      int // exclusive
	First       int // its first pixel in row-major order
	TouchBorder bool
}

// Components finds the 4-connected sets of pixels in a w x h picture where in
// is true. label, of the same length, receives each pixel's index into the
// result, -1 where in is false. Components stand in the order of their first
// pixel.
func Components(label []int32, in []bool, w, h int) []Component {
	parent := joinRuns(label, in, w, h)
	var list []Component
	index := make([]int32, len(parent))
	for i := range index {
		index[i] = -1
	}
	for y := range h {
		for x := range w {
			at := y*w + x
			if label[at] < 0 {
				continue
			}
			root := find(parent, label[at])
			if index[root] < 0 {
				index[root] = int32(len(list))
				list = append(list, Component{X0: x, Y0: y, X1: x + 1, Y1: y + 1, First: at})
			}
			label[at] = index[root]
			list[label[at]].add(x, y, w, h)
		}
	}
	return list
}

func (c *Component) add(x, y, w, h int) {
	c.Area++
	c.X0, c.X1 = min(c.X0, x), max(c.X1, x+1)
	c.Y1 = max(c.Y1, y+1)
	c.TouchBorder = c.TouchBorder || x == 0 || y == 0 || x == w-1 || y == h-1
}

// joinRuns gives each run of a row a label of its own, or its upper
// neighbour's, and notes which labels meet. Of two that meet the lower becomes
// the parent.
func joinRuns(label []int32, in []bool, w, h int) (parent []int32) {
	for y := range h {
		for x := range w {
			at := y*w + x
			label[at] = -1
			if !in[at] {
				continue
			}
			left, up := int32(-1), int32(-1)
			if x > 0 {
				left = label[at-1]
			}
			if y > 0 {
				up = label[at-w]
			}
			switch {
			case left < 0 && up < 0:
				label[at] = int32(len(parent))
				parent = append(parent, label[at])
			case left < 0:
				label[at] = up
			default:
				label[at] = left
				if up >= 0 && up != left {
					join(parent, left, up)
				}
			}
		}
	}
	return parent
}

func find(parent []int32, i int32) int32 {
	for parent[i] != i {
		parent[i] = parent[parent[i]]
		i = parent[i]
	}
	return i
}

func join(parent []int32, a, b int32) {
	a, b = find(parent, a), find(parent, b)
	if a < b {
		parent[b] = a
	} else {
		parent[a] = b
	}
}
