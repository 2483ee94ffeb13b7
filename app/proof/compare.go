package proof

import (
	"fmt"
	"math"
	"strings"
)

// A Change is one figure that changed by more than what nobody would call a change.
type Change struct {
	Column   Column
	From, To float64 // in the column's unit
}

// A Comparison is what became better and what worse from one matte to another. A
// matte's area and the width of its edge are neither: more of it may be wanted or not.
type Comparison struct{ Better, Worse []Change }

// changeFloor is how much a figure must change to count, in its column's unit: for
// differences of colour a tenth of what is just seen, for the others what they are
// shown to.
var changeFloor = map[string]float64{
	"separation": 0.1, "specks": 1, "holes": 1, "flicker": 0.1, "rim": 0.1, "bleed": 0.1, "misfit": 0.05, edgeMismatch: 0.005,
}

// Compare compares figures on the same frames. What only one of them has does not
// count; the edge mismatch does only where there is no misfit.
func Compare(from, to Figures) (c Comparison) {
	for _, column := range Columns() {
		floor, counts := changeFloor[column.Name]
		if !counts || column.Name == edgeMismatch && from.Misfit != nil && to.Misfit != nil {
			continue
		}
		a, hasA := column.Of(from)
		b, hasB := column.Of(to)
		if !hasA || !hasB || math.Abs(b-a) < floor-1e-9 {
			continue
		}
		if (b > a) == column.More {
			c.Better = append(c.Better, Change{column, a, b})
		} else {
			c.Worse = append(c.Worse, Change{column, a, b})
		}
	}
	return c
}

// BetterText says in words what became better.
func (c Comparison) BetterText() string {
	if len(c.Better) == 0 {
		return "Nothing is better."
	}
	return "Better: " + changesText(c.Better) + "."
}

// WorseText says in words what became worse.
func (c Comparison) WorseText() string {
	if len(c.Worse) == 0 {
		return "Nothing is worse."
	}
	return "Worse: " + changesText(c.Worse) + "."
}

func changesText(all []Change) string {
	var words []string
	for _, c := range all {
		words = append(words, fmt.Sprintf("%s %.*f → %.*f", c.Column.Name, c.Column.Decimals, c.From, c.Column.Decimals, c.To))
	}
	return strings.Join(words, ", ")
}

// BestOf returns of each figure that Compare counts the better one.
func BestOf(a, b Figures) Figures {
	out := a
	for _, c := range Columns() {
		if _, counts := changeFloor[c.Name]; !counts {
			continue
		}
		va, hasA := c.Of(a)
		vb, hasB := c.Of(b)
		if hasB && (!hasA || (vb > va) == c.More && vb != va) {
			*c.of(&out) = *c.of(&b)
		}
	}
	return out
}
