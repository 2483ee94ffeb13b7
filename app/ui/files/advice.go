package files

import (
	"errors"
	"io/fs"

	"halocline/app/clip"
	"halocline/app/study"
)

// advice is what to do about an error, in words for the user.
func advice(err error) string {
	var footage *study.FootageError
	switch {
	case errors.As(err, &footage) && errors.Is(err, fs.ErrNotExist):
		return "Its picture is missing: put it back, or open the picture itself."
	case errors.As(err, &footage):
		return "Its picture is not the one the study was made from."
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, clip.ErrMissing):
		return "Check its name, or open another file."
	case errors.Is(err, fs.ErrPermission):
		return "You may not read it: change its permissions."
	case errors.Is(err, clip.ErrProgram):
		return "Movies are read by the programs ffmpeg and ffprobe: install ffmpeg, then open it again."
	case errors.Is(err, clip.ErrNotPicture):
		return "Open a PNG, JPEG, TIFF, BMP or WebP picture, a movie, or a study."
	case errors.Is(err, clip.ErrDamaged):
		return "It is damaged: open a copy of it, or write it again."
	case errors.Is(err, clip.ErrUnsupported):
		return "It is of a kind that is not read here: save it as PNG or TIFF."
	case errors.Is(err, clip.ErrTooLarge):
		return "It is too large to be opened."
	}
	return "Open another file."
}
