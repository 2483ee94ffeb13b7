package batch

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every verb has a row with all its flags in README.md, and every flag that README.md
// and the examples of help give a verb is one.
func TestReadmeKnowsVerbsAndFlags(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	rows := map[string]string{}
	for _, m := range regexp.MustCompile("(?m)^\\| `([a-z]+) ?([^`]*)` \\|").FindAllStringSubmatch(string(text), -1) {
		rows[m[1]] = m[2]
		assertFlags(t, m[1], m[2])
	}
	for _, v := range verbs() {
		row, there := rows[v.name]
		assert.True(t, there, "%s has no row in README.md", v.name)
		assertAllFlags(t, v.name, row)
		for _, e := range v.examples {
			assertCall(t, e)
		}
	}
	calls := regexp.MustCompile(`(?m)halocline-batch ([a-z]+ .*)$`).FindAllString(string(text), -1)
	require.Greater(t, len(calls), 15)
	for _, c := range calls {
		assertCall(t, c)
	}
}

// assertCall asserts that a call's flags are those of its verb.
func assertCall(t *testing.T, call string) {
	words := strings.SplitN(call, " ", 3)
	assertFlags(t, words[1], strings.Join(words[2:], ""))
}

// sharedFlags are told of under the table, for several verbs at once.
var sharedFlags = regexp.MustCompile(`^--(frame|key|sequence|matrix|range|study)$`)

// assertAllFlags asserts that a row of README.md has all flags of its verb.
func assertAllFlags(t *testing.T, verb, row string) {
	_, help, _ := run(t, verb, "--help")
	for _, m := range regexp.MustCompile(`(?m)^  (--[a-z-]+)`).FindAllStringSubmatch(help, -1) {
		if !sharedFlags.MatchString(m[1]) {
			assert.Regexp(t, m[1]+`([^a-z-]|$)`, row, "%s in README.md", verb)
		}
	}
}

// assertFlags asserts that what a call is given are flags of its verb.
func assertFlags(t *testing.T, verb, args string) {
	status, help, _ := run(t, verb, "--help")
	if !assert.Zero(t, status, "%s is no verb", verb) {
		return
	}
	for _, f := range regexp.MustCompile(`--[a-z][a-z-]*`).FindAllString(args, -1) {
		assert.Contains(t, help, "\n  "+f+" ", "%s of %s", f, verb)
	}
}
