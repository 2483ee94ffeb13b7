package batch

import (
	"context"

	"halocline/colour"
)

// A stillSource is a clip of one picture in memory.
type stillSource struct{ picture *colour.Image }

func (s stillSource) Frame(context.Context, int) (*colour.Image, error) { return s.picture, nil }
