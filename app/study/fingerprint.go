package study

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"io"

	"halocline/app/regular"
)

// Footage is what tells a file apart from another of the same name.
type Footage struct {
	Size   int64  // bytes; 0 with SHA256 "": not known
	SHA256 string // 64 hexadecimal digits: the file's fingerprint, see Measure
}

// Files above SampledAbove, which are long movies, are fingerprinted by samples:
// to read 20 GB takes a minute, and nobody opens a shot for that.
const (
	SampledAbove = 256 << 20
	samples      = 64
	sampleBytes  = 256 << 10
)

// Measure reads a file's size and fingerprint. Up to SampledAbove bytes that is
// the SHA-256 of the file (FIPS 180-4). Above, it is the SHA-256 of the line
// "sampled SIZE", SIZE in decimal, and of 64 pieces of 256 KiB each, the first at
// the file's beginning, the last at its end, the others evenly spaced between,
// rounded down to whole bytes. It stops when ctx ends. What is no regular file is a
// *regular.Error.
func Measure(ctx context.Context, path string) (Footage, error) { return measure(ctx, path, true) }

// MeasureWhole reads a file's size and the SHA-256 of all of it, however long it is.
func MeasureWhole(ctx context.Context, path string) (Footage, error) {
	return measure(ctx, path, false)
}

func measure(ctx context.Context, path string, sampled bool) (Footage, error) {
	f, stat, err := regular.Open(path)
	if err != nil {
		return Footage{}, err
	}
	defer f.Close()
	h, size := sha256.New(), stat.Size()
	if sampled && size > SampledAbove {
		err = hashSamples(ctx, h, f, size)
	} else {
		size, err = io.Copy(h, readerUntil{ctx, f})
	}
	if err != nil {
		return Footage{}, err
	}
	return Footage{Size: size, SHA256: hex.EncodeToString(h.Sum(nil))}, nil
}

func hashSamples(ctx context.Context, h hash.Hash, f io.ReaderAt, size int64) error {
	fmt.Fprintf(h, "sampled %d\n", size)
	for i := range int64(samples) {
		if err := ctx.Err(); err != nil {
			return err
		}
		at := (size - sampleBytes) / (samples - 1) * i
		if i == samples-1 {
			at = size - sampleBytes
		}
		if _, err := io.Copy(h, io.NewSectionReader(f, at, sampleBytes)); err != nil {
			return err
		}
	}
	return nil
}

type readerUntil struct {
	ctx context.Context
	r   io.Reader
}

func (r readerUntil) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.r.Read(p)
}
