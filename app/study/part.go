package study

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// PartPattern matches, in the form of filepath.Match, the names under which
// WriteBeside works. A process that is killed leaves such a file behind; no
// reader may take one for a result.
const PartPattern = partBegin + "*" + partEnd

const (
	partBegin = ".halocline-"
	partEnd   = ".part"
)

// CreateBeside makes a new file of a name nobody has, which PartPattern matches, in
// the folder of target: for who cannot write through WriteBeside. Its permissions
// are those of any new file. The name tells for which file it is meant and which
// process writes it.
func CreateBeside(target string) (*os.File, error) {
	for try := 0; ; try++ {
		name := fmt.Sprintf("%s%d-%016x%s", partsHere(target), os.Getpid(), rand.Uint64(), partEnd)
		f, err := os.OpenFile(filepath.Join(filepath.Dir(target), name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil || !errors.Is(err, fs.ErrExist) || try == 100 {
			return f, err
		}
	}
}

// partsHere is what names of parts for target begin with that processes write whose
// numbers mean something here.
func partsHere(target string) string {
	return partBegin + shortDigest(filepath.Base(target)) + "-" + processesHere() + "-"
}

// processesHere tells processes whose numbers mean something here: those of this machine and, on
// Linux, of the same set of processes (man 7 pid_namespaces).
func processesHere() string {
	set, _ := os.Readlink("/proc/self/ns/pid")
	return shortDigest(hostName() + " " + set)
}

func shortDigest(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:4])
}

// removeDeadParts removes the parts of target whose writers were killed on this
// machine. Where the number of a dead one has gone to another process, the part
// stays; so does one from another machine.
func removeDeadParts(target string) {
	begin := partsHere(target)
	removeParts(filepath.Dir(target), func(name string) (rest string, ours bool) { return strings.CutPrefix(name, begin) })
}

// RemoveDeadParts removes the parts of all files of a folder whose writers were killed on
// this machine.
func RemoveDeadParts(folder string) {
	mark := "-" + processesHere() + "-"
	removeParts(folder, func(name string) (rest string, ours bool) {
		target, rest, ours := strings.Cut(name, mark)
		return rest, ours && strings.HasPrefix(target, partBegin)
	})
}

// removeParts removes those parts of a folder that are ours, whose names then go on with
// the number of a process that has ended.
func removeParts(folder string, ours func(name string) (rest string, ours bool)) {
	d, err := os.Open(folder)
	if err != nil {
		return // nothing can be written there either, which is said
	}
	names, _ := d.Readdirnames(-1)
	d.Close()
	for _, name := range names {
		rest, ok := ours(name)
		if !ok || !strings.HasSuffix(rest, partEnd) {
			continue
		}
		number, _, _ := strings.Cut(rest, "-")
		if pid, err := strconv.Atoi(number); err == nil && pid > 0 && !isRunning(pid) {
			os.Remove(filepath.Join(folder, name))
		}
	}
}
