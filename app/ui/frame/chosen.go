package frame

import "slices"

// chosen are the vertices of a mask that are chosen, counted from 0.
type chosen struct {
	vertices []int // in the order of the outline
	last     int   // to be chosen, one of them
}

// one is the vertex that was chosen last; -1 for none.
func (c *chosen) one() int {
	if len(c.vertices) == 0 {
		return -1
	}
	return c.last
}

// only chooses one vertex; none for -1.
func (c *chosen) only(vertex int) {
	if c.vertices, c.last = nil, vertex; vertex >= 0 {
		c.vertices = []int{vertex}
	}
}

// has reports whether a vertex is chosen.
func (c *chosen) has(vertex int) bool { return slices.Contains(c.vertices, vertex) }

// toggle chooses a vertex besides the others, or lets it go.
func (c *chosen) toggle(vertex int) {
	if i := slices.Index(c.vertices, vertex); i >= 0 {
		c.vertices = slices.Delete(slices.Clone(c.vertices), i, i+1)
		if c.last == vertex && len(c.vertices) > 0 {
			c.last = c.vertices[0]
		}
		return
	}
	c.add([]int{vertex})
}

// add chooses vertices besides the others.
func (c *chosen) add(vertices []int) {
	if len(vertices) == 0 {
		return
	}
	all := slices.Concat(c.vertices, vertices)
	slices.Sort(all)
	c.vertices, c.last = slices.Compact(all), vertices[len(vertices)-1]
}

// within lets all go where one of them is not among n vertices.
func (c *chosen) within(n int) {
	if len(c.vertices) > 0 && c.vertices[len(c.vertices)-1] >= n {
		c.only(-1)
	}
}
