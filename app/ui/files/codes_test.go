package files

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestMatrixAndRangeAsTheyAreWritten(t *testing.T) {
	for text, want := range map[string][2]string{
		"bt601 full": {"bt601", "full"}, " Limited ": {"", "limited"}, "full bt2020": {"bt2020", "full"}, "As tagged": {},
	} {
		matrix, codes, err := parseCodes(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, [2]string{matrix, codes}, text)
	}
	for _, text := range []string{"srgb", "full limited", "bt601, full"} {
		_, _, err := parseCodes(text)
		require.Error(t, err, text)
	}
}
