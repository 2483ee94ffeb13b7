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
// numbers mean something here: those of this machine and, on Linux, of the same set
// of processes (man 7 pid_namespaces).
func partsHere(target string) string {
	set, _ := os.Readlink("/proc/self/ns/pid")
	return partBegin + shortDigest(filepath.Base(target)) + "-" + shortDigest(hostName()+" "+set) + "-"
}

func shortDigest(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:4])
}

// removeDeadParts removes the parts of target whose writers were killed on this
// machine. Where the number of a dead one has gone to another process, the part
// stays; so does one from another machine.
func removeDeadParts(target string) {
	folder, begin := filepath.Dir(target), partsHere(target)
	d, err := os.Open(folder)
	if err != nil {
		return // nothing can be written there either, which is said
	}
	names, _ := d.Readdirnames(-1)
	d.Close()
	for _, name := range names {
		rest, ours := strings.CutPrefix(name, begin)
		if !ours || !strings.HasSuffix(rest, partEnd) {
			continue
		}
		number, _, _ := strings.Cut(rest, "-")
		if pid, err := strconv.Atoi(number); err == nil && pid > 0 && !isRunning(pid) {
			os.Remove(filepath.Join(folder, name))
		}
	}
}
