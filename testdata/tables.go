// Package testdata gives tests the published values that lie beside it, in the
// folder reference. Tests alone import it.
package testdata

import (
	"bytes"
	"embed"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

//go:embed reference
var reference embed.FS

// File returns what is in a file of the folder reference.
func File(t testing.TB, name string) []byte {
	t.Helper()
	file, err := reference.ReadFile("reference/" + name)
	require.NoError(t, err)
	return file
}

// Table reads a table, one row or more. Lines that begin with # say where its values
// come from; the first line after them names the columns.
func Table(t testing.TB, name string) []Row {
	t.Helper()
	r := csv.NewReader(bytes.NewReader(File(t, name)))
	r.Comment = '#'
	lines, err := r.ReadAll()
	require.NoError(t, err, name)
	require.Greater(t, len(lines), 1, "rows of %s", name)
	rows := make([]Row, len(lines)-1)
	for i, cells := range lines[1:] {
		rows[i] = Row{t, lines[0], cells}
	}
	return rows
}

// A Row is a row of a table. A test that asks for a column that is not there, or for a
// number where there is none, fails.
type Row struct {
	t              testing.TB
	columns, cells []string
}

// Text returns what stands in a column.
func (r Row) Text(column string) string {
	r.t.Helper()
	return r.cells[r.index(column)]
}

// Number returns the number in a column.
func (r Row) Number(column string) float64 {
	r.t.Helper()
	v, err := strconv.ParseFloat(r.Text(column), 64)
	require.NoError(r.t, err, "column %s of %v", column, r)
	return v
}

// Numbers returns the numbers in some columns.
func (r Row) Numbers(columns ...string) []float64 {
	r.t.Helper()
	values := make([]float64, len(columns))
	for i, c := range columns {
		values[i] = r.Number(c)
	}
	return values
}

// NumbersFrom returns the numbers in a column and all after it.
func (r Row) NumbersFrom(column string) []float64 {
	r.t.Helper()
	return r.Numbers(r.columns[r.index(column):]...)
}

func (r Row) index(column string) int {
	r.t.Helper()
	i := slices.Index(r.columns, column)
	require.GreaterOrEqual(r.t, i, 0, "column %s, of %v", column, r.columns)
	return i
}

// String returns the row as it stands in the table.
func (r Row) String() string { return strings.Join(r.cells, ",") }
