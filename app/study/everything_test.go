package study

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// One file uses all that a study can hold, so that its form is seen whole, and a
// change of the form is seen too.
func TestEverythingInAFile(t *testing.T) {
	golden := filepath.Join("testdata", "everything.halocline")
	text, err := os.ReadFile(golden)
	require.NoError(t, err)
	s := decoded(t, string(text))
	require.Empty(t, s.Unknown())
	if *update {
		text = []byte(encoded(t, s))
		require.NoError(t, os.WriteFile(golden, text, 0o644))
	}
	assert.Equal(t, string(text), encoded(t, s))

	used := map[string]bool{}
	useOf(used, reflect.ValueOf(*s))
	for field, is := range used {
		if !strings.HasSuffix(field, ".rest") { // what no version knows: TestUnknownFieldsAreKept
			assert.True(t, is, "%s has its zero value throughout", field)
		}
	}
}

// useOf notes of each field of the structs in v whether it has another value than
// zero anywhere.
func useOf(used map[string]bool, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			field := v.Type().String() + "." + v.Type().Field(i).Name
			used[field] = used[field] || !v.Field(i).IsZero()
			useOf(used, v.Field(i))
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			useOf(used, v.Index(i))
		}
	}
}
