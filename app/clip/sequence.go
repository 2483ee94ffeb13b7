package clip

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"halocline/app/regular"
)

// mostDigits keeps frame numbers within 32 bits; longer runs are dates and
// serial numbers.
const (
	mostDigits = 9
	tooMany    = 1_000_000_000 // the first number with more
)

// sequenceEndings are those by which a folder's pictures are known. A sequence
// that is opened by one of its files may have another.
var sequenceEndings = []string{".png", ".jpg", ".jpeg", ".tif", ".tiff", ".bmp", ".webp"}

// A series is what the names of one sequence have in common: all before the
// number, and the ending in lower case. How far numbers are filled up with zeros
// is no part of it.
type series struct{ stem, ending string }

// numbered cuts a file's name at its frame number; not ok where it has none.
func numbered(name string) (s series, number int, ok bool) {
	ending := filepath.Ext(name)
	name = strings.TrimSuffix(name, ending)
	stem := strings.TrimRight(name, "0123456789")
	digits := name[len(stem):]
	if digits == "" || len(digits) > mostDigits {
		return series{}, 0, false
	}
	number, err := strconv.Atoi(digits)
	return series{stem, strings.ToLower(ending)}, number, err == nil
}

func frameNumber(path string) int {
	_, n, _ := numbered(filepath.Base(path)) // without one: 0
	return n
}

// A member is one file of a series.
type member struct {
	name   string
	number int
}

// listed returns a folder's numbered files by their series. It reads no file.
// Hidden ones are left out: systems keep notes of their own under such names.
func listed(folder string) (map[series][]member, error) {
	files, err := os.ReadDir(filepath.Clean(folder))
	if err != nil {
		return nil, missing(folder, err)
	}
	all := map[series][]member{}
	for _, f := range files {
		name := f.Name()
		if s, n, ok := numbered(name); ok && !f.IsDir() && !strings.HasPrefix(name, ".") {
			all[s] = append(all[s], member{name, n})
		}
	}
	for _, members := range all {
		slices.SortFunc(members, func(a, b member) int {
			return cmp.Or(cmp.Compare(a.number, b.number), cmp.Compare(a.name, b.name))
		})
	}
	return all, nil
}

// OpenSequence opens the numbered sequence that a file belongs to, or the one
// that a folder has. Its frames are the files whose names differ from the
// file's in the number alone, filled up with zeros or not; numbers that are
// missing stay gaps. Files of the same name and another ending are no part of it:
// a notice counts them. A folder with several sequences is ErrSequence, and so
// are two files of one number; one with none is ErrNotPicture.
//
// It reads the folder's names and the header of the first frame, no more: that
// another frame is damaged or of another size, Frame and Check find.
func OpenSequence(path string) (*Clip, error) {
	stat, err := os.Stat(path)
	if err != nil {
		return nil, missing(path, err)
	}
	switch {
	case stat.IsDir():
		return openFolder(path)
	case !stat.Mode().IsRegular():
		return nil, &Error{path, "it is " + regular.What(stat.Mode()), "a folder of numbered pictures, or one of them", ErrNotPicture, nil}
	}
	own, _, ok := numbered(filepath.Base(path))
	if !ok {
		return nil, &Error{path, "its name has no frame number at its end", fmt.Sprintf("a name such as shot.0001.png, with 1 to %d digits", mostDigits), ErrSequence, nil}
	}
	folder := filepath.Dir(path)
	all, err := listed(folder)
	if err != nil {
		return nil, err
	}
	c, err := newSequence(folder, all[own])
	if err != nil {
		return nil, err
	}
	c.info.Notices = append(c.info.Notices, otherEndings(all, own)...)
	return c, nil
}

// otherEndings tells of pictures that would belong to a series but for their
// ending; a study or a note beside the frames is nothing to be told of.
func otherEndings(all map[series][]member, own series) (notices []string) {
	for s, members := range all {
		if s.stem == own.stem && s.ending != own.ending && slices.Contains(sequenceEndings, s.ending) {
			notices = append(notices, fmt.Sprintf("Of the same name with another ending, and no part of the sequence: %s.", extent(members)))
		}
	}
	slices.Sort(notices)
	return notices
}

// extent says what a series is: "shot.1.png (72 files, to shot.72.png)".
func extent(members []member) string {
	n := len(members)
	if n == 1 {
		return members[0].name
	}
	return fmt.Sprintf("%s (%d files, to %s)", members[0].name, n, members[n-1].name)
}

// extentsTold is how many sequences of a folder a message lists.
const extentsTold = 6

func openFolder(folder string) (*Clip, error) {
	all, err := listed(folder)
	if err != nil {
		return nil, err
	}
	var found [][]member
	for s, members := range all {
		if slices.Contains(sequenceEndings, s.ending) {
			found = append(found, members)
		}
	}
	switch len(found) {
	case 0:
		return nil, &Error{folder, "a folder without numbered pictures", "names such as shot.0001.png (PNG, JPEG, TIFF, BMP or WebP)", ErrNotPicture, nil}
	case 1:
		return newSequence(folder, found[0])
	}
	slices.SortFunc(found, func(a, b []member) int { return cmp.Compare(a[0].name, b[0].name) })
	var names []string
	for i, members := range found {
		if i == extentsTold {
			names = append(names, fmt.Sprintf("%d more", len(found)-i))
			break
		}
		names = append(names, extent(members))
	}
	return nil, &Error{folder, fmt.Sprintf("a folder with %d sequences: %s", len(found), strings.Join(names, ", ")),
		"a folder with one, or a file of the one that is meant", ErrSequence, nil}
}

// newSequence returns the clip of a series' members, which ascend.
func newSequence(folder string, members []member) (*Clip, error) {
	c := &Clip{sequence: true}
	for i, m := range members {
		if i > 0 && m.number == members[i-1].number {
			return nil, &Error{folder, fmt.Sprintf("%s and %s are both frame %d", members[i-1].name, m.name, m.number), "one file for each number", ErrSequence, nil}
		}
		c.frames = append(c.frames, m.number)
		c.paths = append(c.paths, filepath.Join(folder, m.name))
	}
	var err error
	if c.info, err = Stat(c.paths[0]); err != nil {
		return nil, err
	}
	if gaps := c.Missing(); len(gaps) > 0 {
		c.info.Notices = append(c.info.Notices, fmt.Sprintf("The sequence runs from %d to %d and lacks %s.", c.First(), c.Last(), FramesWord(gaps)))
	}
	return c, nil
}
