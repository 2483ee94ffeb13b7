package sheets

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The first ending is added where a name has none of them.
func TestAPlaceHasAnEnding(t *testing.T) {
	p := Place{Endings: []string{".cc", ".ccc", ".CC"}}
	assert.Equal(t, "/a/b.CCC", p.path("/a", "b.CCC"))
	assert.Equal(t, "/a/b.x.cc", p.path(" /a ", "b.x"))
}
