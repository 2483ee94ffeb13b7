package batch

import (
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// chaosRounds is how many rounds the harness goes through, and from which seed:
// HALOCLINE_CHAOS=1 asks for many, HALOCLINE_CHAOS_ROUNDS for so many,
// HALOCLINE_CHAOS_SEED for the choices of an earlier run.
func chaosRounds(t *testing.T) (rounds int, seed uint64) {
	t.Helper()
	rounds, seed = 12, 1
	if testing.Short() {
		rounds = 5
	}
	if os.Getenv("HALOCLINE_CHAOS") != "" {
		rounds, seed = 300, uint64(time.Now().UnixNano())
	}
	if text := os.Getenv("HALOCLINE_CHAOS_ROUNDS"); text != "" {
		n, err := strconv.Atoi(text)
		require.NoError(t, err, "HALOCLINE_CHAOS_ROUNDS")
		rounds = n
	}
	if text := os.Getenv("HALOCLINE_CHAOS_SEED"); text != "" {
		n, err := strconv.ParseUint(text, 10, 64)
		require.NoError(t, err, "HALOCLINE_CHAOS_SEED")
		seed = n
	}
	return rounds, seed
}

// roundsOfAWorld is how many rounds a folder is exported to before all starts anew.
const roundsOfAWorld = 7

// Exports, one after another and at once, in processes that are killed, whose folders,
// manifests, files, footage, disk and settings are changed before and while they run: what
// export and verify promise holds after every round, and in the end one clean export
// writes what an undisturbed one writes.
func TestChaos(t *testing.T) {
	rounds, seed := chaosRounds(t)
	t.Logf("HALOCLINE_CHAOS_SEED=%d HALOCLINE_CHAOS_ROUNDS=%d", seed, rounds)
	figures := chaosFigures{}
	defer func() { t.Logf("done:%s", figures) }()
	for first := 0; first < rounds; first += roundsOfAWorld {
		rng := rand.New(rand.NewPCG(seed, uint64(first)))
		passed := t.Run(fmt.Sprintf("from round %d", first), func(t *testing.T) {
			w := newChaosWorld(t, rng, figures)
			defer func() {
				if t.Failed() {
					t.Logf("what was done:\n%s", strings.Join(w.history, "\n"))
				}
			}()
			for n := first; n < min(rounds, first+roundsOfAWorld); n++ {
				w.tell("round %d", n)
				w.round(t)
				figures["rounds"]++
				if rng.IntN(3) == 0 || n == min(rounds, first+roundsOfAWorld)-1 {
					w.recover(t)
				}
				if rng.IntN(3) == 0 {
					w.writers(t)
				}
			}
		})
		if !passed {
			return
		}
	}
}

// round has something befall the folder, exports to it, has more befall it meanwhile, and
// checks what is there then.
func (w *chaosWorld) round(t *testing.T) {
	t.Helper()
	w.peaceful = w.rng.IntN(3) == 0
	if w.peaceful { // exports alone come in each other's way, and are killed
		w.recover(t)
		w.edit(t, nil)
		w.figures["rounds without faults"]++
	}
	for range w.rng.IntN(3) {
		w.befall(t, nil, false)
	}
	if w.rng.IntN(3) == 0 {
		w.edit(t, nil)
	}
	var all []*actor
	for range []int{1, 1, 1, 2, 2, 3}[w.rng.IntN(6)] {
		all = append(all, w.start(t, w.anyJob(all)))
		if w.rng.IntN(2) == 0 {
			time.Sleep(time.Duration(w.rng.IntN(150)) * time.Millisecond)
		}
	}
	if len(all) > 1 {
		w.figures["rounds of several exports at once"]++
	}
	for range w.rng.IntN(5) {
		w.meanwhile(t, all)
	}
	w.await(t, all, func() bool { return !slices.ContainsFunc(all, (*actor).running) })
	w.check(t, all)
}

// anyJob is an export: one that goes well with those that run already, or one that does
// not.
func (w *chaosWorld) anyJob(running []*actor) chaosJob {
	j := chaosJob{study: w.main, mattes: []string{"skin", "sand"}, workers: 1 + w.rng.IntN(3)}
	if w.rng.IntN(4) == 0 {
		j.study = w.other
	}
	switch w.rng.IntN(6) {
	case 0:
		j.mattes = j.mattes[:1]
	case 1:
		j.mattes = j.mattes[1:]
	case 2:
		j.from = 1 + w.rng.IntN(chaosFrames)
		j.to = min(chaosFrames, j.from+w.rng.IntN(6))
	case 3, 4:
		j.of = 2 + w.rng.IntN(2)
		j.part = w.rng.IntN(j.of)
	}
	if n := len(running); n > 0 && w.rng.IntN(2) == 0 { // a fellow
		last := running[n-1].chaosJob
		switch {
		case last.of > 0:
			j = last
			j.part = (j.part + w.rng.IntN(2)) % j.of
			if w.rng.IntN(3) == 0 {
				j.study = w.other
			}
		case len(last.mattes) == 1:
			j = last
			j.mattes = []string{map[string]string{"skin": "sand", "sand": "skin"}[last.mattes[0]]}
		}
	}
	j.skipBad = w.rng.IntN(3) == 0
	j.adopt = w.rng.IntN(3) == 0
	j.overwrite = w.rng.IntN(3) > 0
	return j
}

// befall has a fault befall the world. During an export all that run stand still.
func (w *chaosWorld) befall(t *testing.T, running []*actor, during bool) {
	t.Helper()
	if w.peaceful {
		return
	}
	faults := chaosFaults()
	f := faults[w.rng.IntN(len(faults))]
	when := "before"
	if during {
		when = "amid"
	}
	pause(t, running, func() {
		if f.place && during && slices.ContainsFunc(running, func(a *actor) bool { n, _ := a.told(); return n == 0 }) {
			return // it may not have opened the folder yet, and would make another
		}
		for _, a := range running {
			if n, _ := a.told(); f.footage && n == 0 {
				a.excused = true // which frames it finds is not known
			}
		}
		w.tell("%s: %s", when, f.name)
		if f.do(w, t) {
			w.figures["fault "+when+" exports: "+f.name]++
		} else {
			w.tell("  came to nothing")
		}
		if f.place && during {
			w.placeTaken = true
		}
	})
}

// meanwhile does something while exports run.
func (w *chaosWorld) meanwhile(t *testing.T, all []*actor) {
	t.Helper()
	a := all[w.rng.IntN(len(all))]
	after := w.rng.IntN(chaosFrames + chaosFrames/2)
	deadline := time.Now().Add(time.Duration(50+w.rng.IntN(400)) * time.Millisecond)
	w.await(t, all, func() bool {
		n, _ := a.told()
		return n >= after || !a.running() || time.Now().After(deadline)
	})
	if !a.running() {
		return
	}
	switch what := w.rng.IntN(10); {
	case what < 3:
		w.end(t, a, syscall.SIGKILL)
	case what < 4:
		w.end(t, a, syscall.SIGTERM)
	case what < 6:
		w.edit(t, all)
	default:
		w.befall(t, all, true)
	}
}

func (w *chaosWorld) end(t *testing.T, a *actor, s syscall.Signal) {
	t.Helper()
	if a.child.Process.Signal(s) == nil {
		a.asked = true
		w.tell("%v to %s", s, a.log)
		w.figures[fmt.Sprintf("exports sent %v", s)]++
	}
}

// edit changes the settings that are exported.
func (w *chaosWorld) edit(t *testing.T, running []*actor) {
	t.Helper()
	if w.footageDamaged() {
		return // it opens the footage
	}
	n := 1 + w.rng.IntN(chaosFrames)
	all := [][]string{
		{"edge", w.main, "--matte", "skin", "--soften", fmt.Sprint(1 + w.rng.IntN(4))},
		{"edge", w.main, "--matte", "sand", "--grow", fmt.Sprint(w.rng.IntN(3)), "--key", "--frame", fmt.Sprint(n)},
		{"mask", w.main, "--matte", "skin", "--name", "part", "--frame", fmt.Sprint(n), "--points", fmt.Sprintf("5,5 150,%d 150,110 10,100", 5+w.rng.IntN(30))},
		{"base", w.main, "--exposure", fmt.Sprint(float64(w.rng.IntN(3)) / 10)},
	}
	args := all[w.rng.IntN(len(all))]
	w.tell("%s", strings.Join(args, " "))
	status, _, stderr := run(t, args...)
	require.Zero(t, status, stderr)
	for _, a := range running {
		a.settings = ""
	}
	w.figures["settings changed"]++
}

func (w *chaosWorld) footageDamaged() bool {
	for path, text := range w.masters {
		if len(w.footage[path]) != len(text) {
			return true
		}
	}
	return false
}

// await waits until something is so, and watches meanwhile how far exports have come.
func (w *chaosWorld) await(t *testing.T, all []*actor, so func() bool) {
	t.Helper()
	for begun := time.Now(); !so(); time.Sleep(5 * time.Millisecond) {
		for _, a := range all {
			a.told()
		}
		require.Less(t, time.Since(begun), 2*time.Minute, "an export does not end")
	}
}

// check holds what is there against what was promised.
func (w *chaosWorld) check(t *testing.T, all []*actor) {
	t.Helper()
	for _, a := range all {
		w.tell("%s ended with %d: %s", a.log, a.status(), a.said())
		w.figures[fmt.Sprintf("exports that ended with %d", a.status())]++
		if a.status() == -1 {
			require.True(t, a.asked, "%s died by itself", a.log)
		}
		require.NotEqual(t, misused, a.status(), "%s: %s", a.log, a.said())
		require.NotContains(t, a.said(), "panic", a.log)
	}
	require.Empty(t, w.halfPictures(t), "half pictures")
	require.Empty(t, w.outsideProblems(), "outside the folder")
	if w.placeTaken && w.strangersPlace() {
		files, err := os.ReadDir(w.out)
		require.NoError(t, err)
		require.Len(t, files, 2, "an export wrote to the folder that took its folder's place: %v", files)
		w.figures["folders replaced that stayed as they were"]++
	}
	w.placeTaken = false

	found := look(w.out)
	for _, a := range all {
		w.checkPromise(t, found, a, all)
	}
	status, _, stderr := run(t, "verify", w.out)
	if len(found.wrong) == 0 {
		require.Zero(t, status, "nothing is wrong, and verify says: %s", stderr)
		w.figures["verify found the folder whole"]++
	} else {
		require.Equal(t, failed, status, "verify says nothing of: %s", strings.Join(found.wrong, "\n"))
		w.figures["verify found what was wrong"]++
	}
	for _, path := range []string{w.main, w.other} {
		_, err := study.Load(path)
		require.NoError(t, err)
	}
}

// strangersPlace reports whether in the folder's place lies the one that folderReplaced
// put there.
func (w *chaosWorld) strangersPlace() bool {
	_, err := os.Stat(filepath.Join(w.out, "notes.txt"))
	return err == nil
}

// checkPromise checks that an export that ended with 0 did what that says: each of its
// pictures is there, as the newest plan and the manifest say.
func (w *chaosWorld) checkPromise(t *testing.T, found *seen, a *actor, all []*actor) {
	t.Helper()
	if a.status() != succeeded {
		return
	}
	if a.excused {
		w.figures["exports with 0 that something befell after their last look"]++
		return
	}
	w.figures["exports with 0 that were held to it"]++
	for _, name := range a.own {
		if !slices.ContainsFunc(all, func(b *actor) bool { return b != a && undoes(b, a, name) }) {
			require.Empty(t, found.promised(name), "%s ended with 0: %s", a.log, name)
			w.figures["pictures that were promised"]++
		}
	}
}

// undoes reports whether another export may have changed, after a had looked for the last
// time, what a promised of a picture.
func undoes(b, a *actor, name string) bool {
	switch {
	case b.ended.Before(a.unfinished) || !slices.Contains(b.planned, name):
		return false
	case b.settings != "" && b.settings == a.settings:
		return false
	}
	return b.status() != succeeded || b.excused || !slices.Contains(b.own, name)
}

var lineToRemove = regexp.MustCompile(`(\S+/manifest\S*\.jsonl): line ([0-9]+) .*remove that line`)

// recover does what the program says until a clean export ends well. Then the folder is
// sound, and its pictures are those that an undisturbed export writes.
func (w *chaosWorld) recover(t *testing.T) {
	t.Helper()
	w.mend(t)
	args := []string{"export", w.main, "--out", w.out}
	for tries := 0; ; tries++ {
		status, _, stderr := run(t, args...)
		if status == succeeded {
			break
		}
		require.Less(t, tries, 60, stderr)
		w.tell("recover: %s", strings.TrimSpace(stderr))
		switch line := lineToRemove.FindStringSubmatch(stderr); {
		case line != nil:
			n, err := strconv.Atoi(line[2])
			require.NoError(t, err)
			lines := strings.SplitAfter(w.bytesOf(t, line[1]), "\n")
			require.NoError(t, os.WriteFile(line[1], []byte(strings.Join(slices.Delete(lines, n-1, n), "")), 0o666))
			w.figures["cure: a line removed"]++
		case strings.Contains(stderr, "--adopt") && !slices.Contains(args, "--adopt"):
			args = append(args, "--adopt")
			w.figures["cure: --adopt"]++
		case strings.Contains(stderr, "allow overwriting") && !slices.Contains(args, "--overwrite"):
			args = append(args, "--overwrite")
			w.figures["cure: --overwrite"]++
		default:
			require.Fail(t, "no way on", stderr)
		}
	}
	status, _, stderr := run(t, "verify", w.out)
	require.Zero(t, status, stderr)
	require.Empty(t, look(w.out).wrong)
	requireSameFiles(t, w.undisturbed(t), w.out)
	require.Zero(t, countParts(t, w.out), "half files of the dead")
	w.figures["recoveries to the undisturbed bytes"]++
	w.tell("recovered")
}
