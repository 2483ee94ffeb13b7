package selection

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// reference reads a table of published values; each file names its source.
func reference(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	records, err := r.ReadAll()
	require.NoError(t, err)
	var rows []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, column := range records[0] {
			row[column] = record[i]
		}
		rows = append(rows, row)
	}
	require.NotEmpty(t, rows, name)
	return rows
}

// numbers returns the named columns of a row.
func numbers(t *testing.T, row map[string]string, columns ...string) []float64 {
	t.Helper()
	values := make([]float64, len(columns))
	for i, c := range columns {
		v, err := strconv.ParseFloat(row[c], 64)
		require.NoError(t, err, "column %s of %v", c, row)
		values[i] = v
	}
	return values
}
