// Package batch is the command line of Halocline: the same work as in the
// window, verb by verb, without a display. Results that a machine may read are
// JSON on stdout; errors and notices are single lines on stderr.
package batch

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"

	"halocline/app/study"
)

// Exit statuses.
const (
	succeeded = 0
	failed    = 1
	misused   = 2
)

// A verb is one thing the command line does.
type verb struct {
	name     string
	usage    string // arguments and flags, in one line
	about    string // one sentence
	examples []string
	run      func(ctx context.Context, c *call) error
}

// verbs returns all of them in the order of the work.
func verbs() []verb {
	return []verb{demoVerb, sampleVerb, infoVerb, rateVerb, baseVerb, fitVerb, planeVerb, maskVerb, joinVerb, edgeVerb, trialVerb, cdlVerb, carryVerb, separationVerb, followVerb, exportVerb, verifyVerb, changesVerb, checkVerb, contactVerb, proofsVerb, scoreVerb}
}

// A call is one verb being run.
type call struct {
	verb   verb
	args   []string // as given, after the verb
	stdout io.Writer
	stderr io.Writer
	atEnd  []func() error         // closes what the verb opened
	locks  map[string]*study.Lock // of studies that it changes, by lock file
}

// Run runs the verb that args name and returns the exit status: 0, 1 where the
// work failed, 2 where the call itself is wrong. It writes nothing but what the
// verb was asked for, and stops when ctx ends.
func Run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	if len(args) == 0 {
		printHelp(stderr)
		return misused
	}
	name := args[0]
	if slices.Contains([]string{"help", "-h", "-help", "--help"}, name) {
		printHelp(stdout)
		return succeeded
	}
	all := verbs()
	i := slices.IndexFunc(all, func(v verb) bool { return v.name == name })
	if i < 0 {
		fmt.Fprintf(stderr, "halocline-batch: found verb %q, want one of %s\n", name, verbNames())
		return misused
	}
	c := &call{verb: all[i], args: args[1:], stdout: stdout, stderr: stderr}
	err := c.verb.run(ctx, c)
	for _, end := range c.atEnd {
		_ = end()
	}
	var wrong *usageError
	switch {
	case err == nil:
		return succeeded
	case errors.Is(err, flag.ErrHelp): // parse has printed it
		return succeeded
	case errors.As(err, &wrong):
		fmt.Fprintf(stderr, "halocline-batch: %s: %v (see halocline-batch %s --help)\n", name, c.verb.plain(err), name)
		return misused
	case ctx.Err() != nil && errors.Is(err, ctx.Err()):
		fmt.Fprintf(stderr, "halocline-batch: %s: stopped: %v\n", name, context.Cause(ctx))
		return failed
	}
	fmt.Fprintf(stderr, "halocline-batch: %s: %s\n", name, c.verb.plain(err))
	return failed
}

// notice tells the user something that does not stop the work.
func (c *call) notice(format string, a ...any) {
	fmt.Fprintf(c.stderr, "halocline-batch: %s: %s\n", c.verb.name, oneLine(fmt.Errorf(format, a...)))
}

// oneLine is an error's text without line breaks.
func oneLine(err error) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, err.Error())
}

// plain is an error's text as it follows the verb's name: not twice who says it.
func (v verb) plain(err error) string {
	return strings.TrimPrefix(strings.TrimPrefix(oneLine(err), "batch: "), v.name+": ")
}

// A usageError says that a call is wrong, not the work.
type usageError struct{ what string }

func (e *usageError) Error() string { return e.what }

func misuse(format string, a ...any) error { return &usageError{fmt.Sprintf(format, a...)} }

func verbNames() string {
	var names []string
	for _, v := range verbs() {
		names = append(names, v.name)
	}
	return strings.Join(names, ", ")
}

func printHelp(w io.Writer) {
	fmt.Fprint(w, "Isolate parts of pictures by colour, and hand mattes on.\n\n")
	for _, v := range verbs() {
		fmt.Fprintf(w, "  %s\n", wrapped("halocline-batch "+v.name+" "+v.usage, "      "))
		fmt.Fprintf(w, "      %s\n", wrapped(v.about, "      "))
	}
	fmt.Fprint(w, "\nhalocline-batch VERB --help shows a verb's flags and examples. A MASK is a grey\n"+
		"picture of the frame's size, white where it counts. X,Y,R is a disc: middle and\n"+
		"radius in pixels. Exit status: 0 done, 1 failed, 2 wrong call.\n")
}

// printHelp writes what the verb does, its flags and examples.
func (v verb) printHelp(w io.Writer, flags *flag.FlagSet) {
	fmt.Fprintf(w, "%s\n\n%s\n", wrapped("halocline-batch "+v.name+" "+v.usage, "    "), wrapped(v.about, ""))
	first, longest := true, 0
	flags.VisitAll(func(f *flag.Flag) { longest = max(longest, len(f.Name)) })
	flags.VisitAll(func(f *flag.Flag) {
		if first {
			fmt.Fprint(w, "\nFlags:\n")
			first = false
		}
		about := f.Usage
		if !slices.Contains([]string{"", "false", "[]", "-1", "0", "0,0", "0,0,0"}, f.DefValue) {
			about += " (" + f.DefValue + ")"
		}
		fmt.Fprintf(w, "  --%-*s%s\n", longest+2, f.Name, wrapped(about, strings.Repeat(" ", longest+6)))
	})
	for i, e := range v.examples {
		if i == 0 {
			fmt.Fprint(w, "\nExamples:\n")
		}
		fmt.Fprintf(w, "  %s\n", e)
	}
}

// helpWidth is the columns that a terminal has at the least.
const helpWidth = 80

// wrapped breaks text between words so that lines stay within helpWidth, each
// but the first after indent.
func wrapped(text, indent string) string {
	var b strings.Builder
	column := len(indent)
	for i, word := range strings.Fields(text) {
		switch {
		case i == 0:
		case column+1+len(word) > helpWidth:
			b.WriteString("\n" + indent)
			column = len(indent)
		default:
			b.WriteByte(' ')
			column++
		}
		b.WriteString(word)
		column += len(word)
	}
	return b.String()
}
