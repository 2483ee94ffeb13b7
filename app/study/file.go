package study

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"

	"halocline/app/regular"
)

// Ending is what a study file's name ends in.
const Ending = ".halocline"

// maxFile is the largest study file that is read: 256 MiB, some ten million
// mask points.
const maxFile = 256 << 20

// Load reads a study file. The footage's path becomes absolute; the footage is
// not looked at. Errors name the file and the place in it; what is no regular file is
// a regular.ErrNot.
func Load(path string) (*Study, error) {
	s, _, err := LoadState(path)
	return s, err
}

// LoadState is Load that also tells the state of the file it read, by which a later
// change of it is found.
func LoadState(path string) (*Study, FileState, error) {
	content, info, err := readFile(path)
	if err != nil {
		return nil, FileState{}, fmt.Errorf("study: cannot read, %w: %s", cause(err), path)
	}
	s, err := fromFile(content)
	if err != nil {
		return nil, FileState{}, fmt.Errorf("study: %s: %w", path, err)
	}
	s.Clip.Path = s.Clip.Resolve(path)
	return s, stateOf(info, content), nil
}

// readFile reads a file, or a byte more than a study file may have.
func readFile(path string) ([]byte, fs.FileInfo, error) {
	f, info, err := regular.Open(path)
	var other *regular.Error
	if errors.As(err, &other) {
		other.Want = "a study file"
	}
	if err != nil {
		return nil, nil, err
	}
	defer f.Close()
	content, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	return content, info, err
}

// Save writes a study file: beside first, then in place of an older one. The
// file holds the footage's path relative to its own folder. A study that is not
// valid is not written. What killed processes left of earlier writes of that file is
// removed. Save looks at no lock: who changes a study that others may change too
// takes it first (Acquire).
func Save(path string, s *Study) error {
	_, err := save(path, s)
	return err
}

// save is Save that tells the state of the file it wrote.
func save(path string, s *Study) (FileState, error) {
	c := *s
	c.Clip.Path = s.Clip.relativePath(path)
	var b bytes.Buffer
	if err := write(&b, &c); err != nil {
		return FileState{}, fmt.Errorf("study: not saved, %w: %s", err, path)
	}
	if b.Len() > maxFile {
		return FileState{}, fmt.Errorf("study: not saved, it would have %d MiB, want at most %d: %s", b.Len()>>20, maxFile>>20, path)
	}
	removeDeadParts(behindLinks(path))
	info, err := PutBeside(path, func(w io.Writer) error {
		_, err := w.Write(b.Bytes())
		return err
	})
	if err != nil {
		return FileState{}, err
	}
	return stateOf(info, b.Bytes()), nil
}

// Decode reads a study from its file form: at most 256 MiB of JSON in UTF-8
// with nothing behind it. The footage's path is left as it stands. Fields that are
// not known are kept; Unknown lists them.
func Decode(r io.Reader) (*Study, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFile+1))
	if err != nil {
		return nil, fmt.Errorf("study: %w", err)
	}
	s, err := fromFile(data)
	if err != nil {
		return nil, fmt.Errorf("study: %w", err)
	}
	return s, nil
}

// fromFile reads a study from all of a file, or from a byte more than one may have, and checks
// it.
func fromFile(data []byte) (*Study, error) {
	if len(data) > maxFile {
		return nil, fmt.Errorf("file is larger than %d MiB", maxFile>>20)
	}
	s, err := decode(data)
	if err != nil {
		return nil, err
	}
	if s.Next == 0 {
		s.Next = s.highestID() + 1
	}
	s.tidy()
	return s, s.check()
}

func decode(data []byte) (*Study, error) {
	tree, err := parse(data, 0)
	if err != nil {
		return nil, err
	}
	switch v, err := versionOf(tree); {
	case err != nil:
		return nil, err
	case v != Version:
		return nil, fmt.Errorf("is a study file of version %d, want version %d", v, Version)
	}
	s := &Study{}
	f := newForm(&page{}, tree.(*object))
	s.fields(f)
	f.done()
	s.rest = f.rest
	return s, f.err
}

// Encode writes a study in its file form: equal studies give equal bytes, and
// Decode gives back an equal study. The footage's path is written as it stands.
func Encode(w io.Writer, s *Study) error {
	if err := write(w, s); err != nil {
		return fmt.Errorf("study: %w", err)
	}
	return nil
}

func write(w io.Writer, s *Study) error {
	if err := s.check(); err != nil {
		return err
	}
	f := newForm(&page{writing: true, kept: indexRest(s.rest)}, newObject())
	s.fields(f)
	f.done()
	if f.err != nil {
		return f.err
	}
	if n := count(f.obj); n > maxValues {
		return fmt.Errorf("it holds %d values, want at most %d", n, maxValues)
	}
	b := bufio.NewWriter(w)
	p := printer{w: b}
	p.print(f.obj, "", 0)
	p.text("\n")
	if p.err != nil {
		return p.err
	}
	return b.Flush()
}

// highestID returns the largest id in use.
func (s *Study) highestID() int {
	high := s.Clip.ID
	settings := func(s *Settings) {
		for i := range s.Masks {
			high = max(high, s.Masks[i].ID)
		}
		for i := range s.MaskDabs {
			high = max(high, s.MaskDabs[i].ID)
		}
	}
	for i := range s.Mattes {
		m := &s.Mattes[i]
		high = max(high, m.ID)
		settings(&m.Settings)
		for j := range m.Dabs {
			high = max(high, m.Dabs[j].ID)
		}
		for j := range m.Proofs {
			high = max(high, m.Proofs[j].ID)
			settings(&m.Proofs[j].Settings)
		}
	}
	return high
}
