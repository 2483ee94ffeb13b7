package batch

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"strings"

	"halocline/app/study"
)

var joinVerb = verb{
	name: "join", usage: "STUDY [--matte NAME --with OTHER --how " + strings.Join(howWords(), "|") + "|--remove] [--not-exported NAME]... [--exported NAME]...",
	about: "Take another matte into a matte, before its edge is grown and softened: \"add\" keeps what either keeps; \"touching\" adds the two up, for parts that share a soft border; " +
		"\"take-away\" leaves out what the other keeps; \"within\" keeps only what both keep. " +
		"It is the other's final matte that is taken in, with its masks and its edge. Several are taken in one after the other, as they were joined; " +
		"one that is taken in already stays in its place and gets the new --how. --remove takes it out again. " +
		"Mattes that are made for others to take in are marked with --not-exported: export leaves them out unless it names them. --exported takes that back.",
	examples: []string{
		"halocline-batch join transect.halocline --matte swimmer --with legs --how touching --not-exported legs",
		"halocline-batch join transect.halocline --matte sand --with swimmer --how take-away",
		"halocline-batch join transect.halocline --matte sand --with swimmer --remove",
	},
	run: runJoin,
}

type joinResult struct {
	Study       string       `json:"study"`
	Matte       string       `json:"matte,omitempty"`
	Joins       []joinReport `json:"joins,omitzero"` // all of the matte's, in their order; left out without one
	NotExported []string     `json:"notExported"`    // all such mattes of the study
}

type joinReport struct {
	With string `json:"with"` // the other matte's name
	How  string `json:"how"`  // as --how has it
}

func reportJoins(s *study.Study, joins []study.Join) []joinReport {
	out := []joinReport{}
	for _, j := range joins {
		out = append(out, joinReport{s.Matte(j.With).Name, howWord(j.How)})
	}
	return out
}

// howWord is what --how calls a way to join: its name in files, but for capitals.
func howWord(h study.How) string {
	if h == study.TakeAway {
		return "take-away"
	}
	return h.String()
}

// howWords are all values of --how.
func howWords() (words []string) {
	for i := range study.HowNames() {
		words = append(words, howWord(study.How(i)))
	}
	return words
}

func parseHow(word string) (study.How, error) {
	for i, w := range howWords() {
		if w == word {
			return study.How(i), nil
		}
	}
	return 0, misuse("--how is %q, want one of %s", word, strings.Join(howWords(), ", "))
}

// joinFlags are what the verb may be given.
type joinFlags struct {
	set                   *flag.FlagSet
	matte, with, how      string
	remove                bool
	notExported, exported list
}

func newJoinFlags(c *call) *joinFlags {
	j := &joinFlags{set: c.newFlags()}
	j.set.StringVar(&j.matte, "matte", "", "name of the matte that takes another in")
	j.set.StringVar(&j.with, "with", "", "name of the other matte")
	j.set.StringVar(&j.how, "how", "", strings.Join(howWords(), ", ")+": what becomes of the two")
	j.set.BoolVar(&j.remove, "remove", false, "take the other out again")
	j.set.Var(&j.notExported, "not-exported", "name of a matte that export leaves out unless it is named; may be given several times")
	j.set.Var(&j.exported, "exported", "name of a matte that export writes again; may be given several times")
	return j
}

// joins reports whether the call takes a matte in or out.
func (j *joinFlags) joins() bool { return cmp.Or(j.matte, j.with, j.how) != "" || j.remove }

// check says what is lacking, and which flags do not go together.
func (j *joinFlags) check() error {
	for _, name := range j.exported {
		for _, other := range j.notExported {
			if strings.EqualFold(name, other) {
				return misuse("found %q in --exported and in --not-exported, want it in one of them", name)
			}
		}
	}
	switch {
	case !j.joins() && len(j.exported)+len(j.notExported) > 0:
		return nil
	case j.matte == "":
		return misuse("found no --matte NAME, want the matte that takes another in")
	case j.with == "":
		return misuse("found no --with OTHER, want the matte that %q is to take in", j.matte)
	case j.remove && j.how != "":
		return misuse("found --how and --remove, want one of them: a matte is taken in or out")
	case j.remove:
		return nil
	case j.how == "":
		return misuse("found neither --how nor --remove, want --how with one of %s", strings.Join(howWords(), ", "))
	}
	_, err := parseHow(j.how)
	return err
}

func runJoin(ctx context.Context, c *call) error {
	f := newJoinFlags(c)
	args, err := c.parse(f.set, 1, 1)
	if err != nil {
		return err
	}
	if err := f.check(); err != nil {
		return err
	}
	w, err := c.openToChange(ctx, args[0])
	if err != nil {
		return err
	}
	result := joinResult{NotExported: []string{}}
	if f.joins() {
		m, err := f.join(w)
		if err != nil {
			return err
		}
		result.Matte, result.Joins = m.Name, reportJoins(w.Study, m.Joins)
	}
	if err := f.mark(w); err != nil {
		return err
	}
	if err := w.save(ctx, ""); err != nil {
		return err
	}
	result.Study = w.Path
	for _, m := range w.Study.Mattes {
		if m.NotExported {
			result.NotExported = append(result.NotExported, m.Name)
		}
	}
	return c.printJSON(result)
}

// join takes the other matte in or out, and returns the one that is changed.
func (j *joinFlags) join(w opened) (*study.Matte, error) {
	m, err := w.matte(j.matte)
	if err != nil {
		return nil, err
	}
	other, err := w.matte(j.with)
	if err != nil {
		return nil, err
	}
	if j.remove {
		if !m.TakeOut(other.ID) {
			return nil, fmt.Errorf("batch: matte %q does not take in %q, want one that it takes in: %s", m.Name, other.Name, quotedNames(m.Joins, func(j study.Join) string { return w.Study.Matte(j.With).Name }))
		}
		return m, nil
	}
	how, err := parseHow(j.how)
	if err != nil {
		return nil, err
	}
	m.TakeIn(other.ID, how)
	if err := w.Study.Validate(); err != nil {
		return nil, fmt.Errorf("batch: %s is not changed: %w", w.Path, err)
	}
	return m, nil
}

// mark says of mattes whether exports of all mattes have them.
func (j *joinFlags) mark(w opened) error {
	for _, marked := range []struct {
		names       list
		notExported bool
	}{{j.notExported, true}, {j.exported, false}} {
		for _, name := range marked.names {
			m, err := w.matte(name)
			if err != nil {
				return err
			}
			m.NotExported = marked.notExported
		}
	}
	return nil
}
