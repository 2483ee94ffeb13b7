package work

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestUnknownFieldsAreTold(t *testing.T) {
	for want, places := range map[string][]string{
		"": nil,
		"a.halocline: this version does not know the field clip.lens. It changes nothing and is kept.":             {"clip.lens"},
		"a.halocline: this version does not know the fields a, b, c. They change nothing and are kept.":            {"a", "b", "c"},
		"a.halocline: this version does not know the fields a, b, c and 2 more. They change nothing and are kept.": {"a", "b", "c", "d", "e"},
	} {
		said := unknownFields("/dive/a.halocline", places)
		assert.Equal(t, want, said)
		w := &Work{Notices: []string{"of the footage"}, Unknown: said}
		if said == "" {
			assert.Equal(t, []string{"of the footage"}, w.Said())
		} else {
			assert.Equal(t, []string{"of the footage", said}, w.Said())
		}
	}
}
