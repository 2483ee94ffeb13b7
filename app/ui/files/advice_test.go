package files

import (
	"errors"
	"fmt"
	"io/fs"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/clip"
	"halocline/app/study"
)

// Each kind of error has advice of its own; a study's missing picture is not the
// study's own file.
func TestAdviceAboutAnError(t *testing.T) {
	seen := map[string]error{}
	for _, err := range []error{
		&study.FootageError{Path: "a.png", Err: fs.ErrNotExist}, &study.FootageError{Path: "a.png", Err: errors.New("other")},
		fs.ErrNotExist, fs.ErrPermission, clip.ErrProgram, clip.ErrNotPicture, clip.ErrDamaged, clip.ErrUnsupported, clip.ErrTooLarge, errors.New("other"),
	} {
		text := advice(fmt.Errorf("opened: %w", err))
		assert.NotContains(t, seen, text, err)
		seen[text] = err
	}
	assert.Equal(t, "Check its name, or open another file.", advice(clip.ErrMissing))
	assert.Equal(t, "Open another file.", advice(errors.New("other")))
}
