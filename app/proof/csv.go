package proof

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
)

// WriteCSV writes one line for each proof, in an order, as RFC 4180 has it, under a
// line of names with their units: proof, note, the name it is kept under, now, then the
// value that a sweep gave, under the parameter's name, or under value where there is no
// sweep; frames, and the columns of figures. What has no meaning is empty. Figures have six digits.
func WriteCSV(w io.Writer, items []Item, all []Figures, order []int, sweep *Sweep) error {
	out := csv.NewWriter(w)
	head := []string{"proof", "note", "kept as", "now", "value", "frames"}
	if sweep != nil {
		head[4] = withUnit(sweep.Of.Label, sweep.Of.Unit)
	}
	for _, c := range Columns() {
		head = append(head, withUnit(c.Name, c.Unit))
	}
	_ = out.Write(head) // Error tells
	for _, i := range order {
		it, f := items[i], all[i]
		line := []string{it.Name, it.Note, it.KeptAs, yes(it.Now), "", strconv.Itoa(f.Frames)}
		if it.Swept {
			line[4] = digits(it.Value)
		}
		for _, c := range Columns() {
			text := ""
			if v, ok := c.Of(f); ok {
				text = digits(v)
			}
			line = append(line, text)
		}
		_ = out.Write(line)
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("proof: figures cannot be written: %w", err)
	}
	return nil
}

func digits(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

func withUnit(name, unit string) string {
	if unit == "" {
		return name
	}
	return name + " (" + unit + ")"
}

func yes(is bool) string {
	if is {
		return "yes"
	}
	return "no"
}
