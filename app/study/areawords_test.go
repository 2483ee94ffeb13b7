package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAreaWords(t *testing.T) {
	assert.Equal(t, "7.8 %", AreaWords(0.0776, true))
	assert.Equal(t, "about 8 %", AreaWords(0.0776, false))
	assert.Equal(t, "100.0 %", AreaWords(1, true))
	assert.Equal(t, "0.0 %", AreaWords(0, true))
}
