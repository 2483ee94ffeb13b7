package export

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"os"

	"halocline/app/clip"
	"halocline/colour"
)

// markEmpty marks the pictures among files that are black throughout: of mattes that keep
// nothing. They are known by their checksum, so that none is rendered or read for it. It does
// not stop when ctx ends: the pictures are written by then.
func (r *run) markEmpty(ctx context.Context, files []Entry) error {
	ctx = context.WithoutCancel(ctx)
	black := ""
	for i := range files {
		e := &files[i]
		if e.Kind != Matte || e.Skipped != "" {
			continue
		}
		if black == "" { // the frames of a clip have one size
			var err error
			if black, err = r.blackLike(ctx, r.folder.at(e.Name)); err != nil {
				return err
			}
		}
		e.Empty = e.SHA256 == black
	}
	return nil
}

// blackLike is the checksum of a black matte of the size of the one at path.
func (r *run) blackLike(ctx context.Context, path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", fmt.Errorf("export: %s cannot be read: %w", path, err)
	}
	defer f.Close()
	shape, err := png.DecodeConfig(f)
	if err != nil {
		return "", fmt.Errorf("export: %s cannot be read: %w", path, err)
	}
	var file bytes.Buffer
	if err := new(Encoder).Grey(ctx, &file, colour.NewPlane(shape.Width, shape.Height), r.Depth); err != nil {
		return "", err
	}
	return sum256(file.Bytes()), nil
}

// EmptyLines says of each matte among exported files that keeps nothing on some frames on
// which: a line for each.
func EmptyLines(files []Entry) (lines []string) {
	var names []string
	count, empty := map[string]int{}, map[string][]int{}
	for _, e := range files {
		if e.Kind != Matte || e.Skipped != "" {
			continue
		}
		if count[e.Matte]++; count[e.Matte] == 1 {
			names = append(names, e.Matte)
		}
		if e.Empty {
			empty[e.Matte] = append(empty[e.Matte], e.Frame)
		}
	}
	for _, name := range names {
		if frames := empty[name]; len(frames) > 0 {
			lines = append(lines, fmt.Sprintf("matte %q keeps nothing on %s (of %d exported): it is black there", name, clip.FramesWord(clip.SpansOf(frames)), count[name]))
		}
	}
	return lines
}
