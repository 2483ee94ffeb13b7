package export

import (
	"bufio"
	"encoding/binary"
	"halocline/app/regular"
	"hash/crc32"
	"io"
	"strings"
)

// isBroken reports whether the file at path is what is left of a PNG file: its
// beginning alone, down to nothing, or one with a chunk whose check is
// wrong. No program hands such a file on, so it is nobody's work. A file of
// another kind, or a sound picture, is not broken, and neither is one that cannot
// be read.
func isBroken(path string) bool {
	f, _, err := regular.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	return broken(bufio.NewReaderSize(f, 1<<16))
}

func broken(r io.Reader) bool {
	head := make([]byte, len(signature))
	switch n, err := io.ReadFull(r, head); {
	case err == io.EOF || err == io.ErrUnexpectedEOF:
		return strings.HasPrefix(signature, string(head[:n]))
	case err != nil || string(head) != signature:
		return false
	}
	for {
		kind, ok, err := readChunk(r)
		switch {
		case err != nil: // the disk's, not the file's
			return false
		case !ok:
			return true
		case kind == "IEND":
			return false
		}
	}
}

// readChunk reads a chunk (PNG, section 5.3) and tells whether it is all there
// and its CRC is right.
func readChunk(r io.Reader) (kind string, ok bool, err error) {
	var head [8]byte
	if _, err := io.ReadFull(r, head[:]); err != nil {
		return "", false, unlessEnded(err)
	}
	crc := crc32.NewIEEE()
	crc.Write(head[4:])
	if _, err := io.CopyN(crc, r, int64(binary.BigEndian.Uint32(head[:4]))); err != nil {
		return "", false, unlessEnded(err)
	}
	var sum [4]byte
	if _, err := io.ReadFull(r, sum[:]); err != nil {
		return "", false, unlessEnded(err)
	}
	return string(head[4:]), binary.BigEndian.Uint32(sum[:]) == crc.Sum32(), nil
}

func unlessEnded(err error) error {
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return nil
	}
	return err
}
