package regular

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"runtime"
	"strings"
)

// ErrNot is what every refusal of a file that is not regular is, under errors.Is.
var ErrNot = errors.New("not a regular file")

// An Error says what lies at a path in place of a regular file.
type Error struct {
	Path string
	Is   string // with its article, such as "a named pipe"
	Want string // "" is a file
}

func (e *Error) Error() string {
	return fmt.Sprintf("%s is %s, want %s", e.Path, e.Is, cmp.Or(e.Want, "a file"))
}

// Unwrap makes it an ErrNot.
func (e *Error) Unwrap() error { return ErrNot }

// Open opens the regular file at path for reading and returns what is known of it.
// It never waits for anybody, whatever lies there: anything else is an *Error.
// Links are followed. Other errors are those of os.Open.
func Open(path string) (*os.File, fs.FileInfo, error) {
	// Asked before opening too: to open a device may move what it drives.
	if _, err := Stat(path); err != nil {
		return nil, nil, err
	}
	f, err := openAtOnce(path)
	if err != nil {
		return nil, nil, err
	}
	info, err := f.Stat()
	if err == nil {
		err = check(path, info)
	}
	if err != nil {
		f.Close()
		return nil, nil, err
	}
	return f, info, nil
}

// Stat returns what is known of the regular file at path. Anything else is an
// *Error; other errors are those of os.Stat.
func Stat(path string) (fs.FileInfo, error) {
	if runtime.GOOS == "windows" && IsDevicePath(path) {
		return nil, &Error{Path: path, Is: "the name of a device"}
	}
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	return info, check(path, info)
}

func check(path string, info fs.FileInfo) error {
	if info.Mode().IsRegular() {
		return nil
	}
	return &Error{Path: path, Is: What(info.Mode())}
}

// What says what a file that is not regular is, with its article.
func What(mode fs.FileMode) string {
	switch {
	case mode.IsDir():
		return "a folder"
	case mode&fs.ModeNamedPipe != 0:
		return "a named pipe"
	case mode&fs.ModeSocket != 0:
		return "a socket"
	case mode&fs.ModeDevice != 0:
		return "a device"
	}
	return "no regular file"
}

// IsDevicePath reports whether Windows takes a path for a device: the last part of
// it, or all of it as in \\.\COM1. The function itself asks no system.
func IsDevicePath(path string) bool {
	path = strings.ReplaceAll(path, "/", `\`)
	name := path[strings.LastIndex(path, `\`)+1:]
	if len(name) > 1 && name[1] == ':' { // of a drive
		name = name[2:]
	}
	return strings.HasPrefix(path, `\\.\`) || IsDeviceName(name)
}

// IsDeviceName reports whether Windows takes a file's name for a device, whatever
// its ending: CON, PRN, AUX, NUL, COM and LPT with a digit, which may be one of
// the superscripts ¹ ² ³, CONIN$ and CONOUT$ (Microsoft, "Naming Files, Paths, and
// Namespaces" and "CreateFile: Consoles").
func IsDeviceName(name string) bool {
	stem, _, _ := strings.Cut(strings.ToUpper(name), ".")
	stem, _, _ = strings.Cut(stem, ":") // a stream of it
	stem = strings.TrimRight(stem, " ")
	switch stem {
	case "CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$":
		return true
	}
	for _, port := range []string{"COM", "LPT"} {
		if digit, ok := strings.CutPrefix(stem, port); ok && digit != "" && strings.Contains("0123456789¹²³", digit) && len([]rune(digit)) == 1 {
			return true
		}
	}
	return false
}
