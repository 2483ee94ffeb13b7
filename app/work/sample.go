package work

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"path/filepath"

	"halocline/app/study"
	"halocline/assets"
	"halocline/colour"
)

// SampleName is the file name of the sample frame where it is unpacked.
const SampleName = "transect.0001.png"

// sampleSum is the SHA-256 of the sample frame's file.
var sampleSum = func() string {
	sum := sha256.Sum256(assets.SamplePNG)
	return hex.EncodeToString(sum[:])
}()

// Sample opens what the program starts on: a study of the embedded sample frame,
// without a file of its own, and the frame's true matte of skin. The frame is
// unpacked into a folder within folder that is named after its content, so that
// each version of it stays where studies look for it; a damaged one is replaced.
func Sample(ctx context.Context, folder string) (*Work, colour.Plane, error) {
	path, err := unpackSample(ctx, folder)
	if err != nil {
		return nil, colour.Plane{}, err
	}
	s, err := study.Decode(bytes.NewReader(assets.SampleStudy))
	if err != nil {
		return nil, colour.Plane{}, fmt.Errorf("work: embedded study: %w", err)
	}
	s.Clip.Path = path
	truth, err := SampleSkin()
	if err != nil {
		return nil, colour.Plane{}, err
	}
	w, err := FromStudy(ctx, s, "")
	return w, truth, err
}

// IsSample reports whether a study is of the embedded sample frame, wherever its
// picture lies.
func IsSample(s *study.Study) bool { return s.Clip.SHA256 == sampleSum }

// SampleSkin returns the sample frame's true matte of skin, of its size.
func SampleSkin() (colour.Plane, error) {
	m, err := png.Decode(bytes.NewReader(assets.SampleSkinPNG))
	if err != nil {
		return colour.Plane{}, fmt.Errorf("work: embedded matte: %w", err)
	}
	grey, ok := m.(*image.Gray)
	if !ok {
		return colour.Plane{}, fmt.Errorf("work: embedded matte is a %T, want 8-bit grey", m)
	}
	truth := colour.NewPlane(grey.Rect.Dx(), grey.Rect.Dy())
	for y := range truth.H {
		row := truth.Row(y)
		for x, code := range grey.Pix[y*grey.Stride:][:truth.W] {
			row[x] = colour.FromCode8(code)
		}
	}
	return truth, nil
}

// unpackSample writes the sample frame unless it is there, and returns its
// absolute path.
func unpackSample(ctx context.Context, folder string) (string, error) {
	folder, err := filepath.Abs(filepath.Join(folder, "sample-"+sampleSum[:12]))
	if err != nil {
		return "", fmt.Errorf("work: folder of the sample frame: %w", err)
	}
	path := filepath.Join(folder, SampleName)
	if there, err := study.Measure(ctx, path); err == nil && there.SHA256 == sampleSum {
		return path, nil
	}
	if err := ctx.Err(); err != nil {
		return "", err
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return "", fmt.Errorf("work: no folder for the sample frame: %w", err)
	}
	return path, study.WriteBeside(path, func(w io.Writer) error {
		_, err := w.Write(assets.SamplePNG)
		return err
	})
}
