package batch

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
)

// Keys that can go are printed and stay; or they are taken away, and the mask stays where it is.
func TestMaskFindsItsSpareKeys(t *testing.T) {
	b := newBeach(t)
	path := drift(t, b, 7)
	result[maskResult](t, "mask", path, "--matte", "skin", "--points", limbAt(1), "--way", "follow")
	for n := 3; n <= 7; n += 2 {
		result[maskResult](t, "mask", path, "--matte", "skin", "--points", limbAt(n), "--frame", fmt.Sprint(n))
	}
	before := read(t, path)
	status, stdout, stderr := run(t, "mask", path, "--matte", "skin", "--spare", "show")
	require.Zero(t, status, stderr)
	require.Regexp(t, `mask "mask": of its keys those on frames 3, 5 can go: without them the outline moves by \d\.\d px at most in the mean, \d\.\d px in its worst part`, stderr)
	require.Contains(t, stdout, `"worstPartPixels"`)
	require.Equal(t, before, read(t, path))

	gone := result[maskResult](t, "mask", path, "--matte", "skin", "--spare", "remove")
	require.Len(t, gone.Spare, 2)
	require.LessOrEqual(t, gone.Spare[1].Mean, 2.0)
	require.Len(t, gone.Masks[0].Keys, 2)
	require.Equal(t, []int{1, 7}, []int{gone.Masks[0].Keys[0].Frame, gone.Masks[0].Keys[1].Frame})
	_, _, stderr = run(t, "mask", path, "--matte", "skin", "--spare", "remove")
	require.Contains(t, stderr, `mask "mask": no key can go`)
}

func TestMaskRefusesSpareKeys(t *testing.T) {
	b := newBeach(t)
	path := drift(t, b, 3)
	result[maskResult](t, "mask", path, "--matte", "skin", "--points", limbAt(1))
	for _, c := range []struct {
		args   []string // after the matte
		status int
		says   string
	}{
		{[]string{"--spare", "keep"}, misused, `--spare is "keep", want show or remove`},
		{[]string{"--spare", "show", "--frame", "2"}, misused, "--spare goes with --matte and --name alone"},
		{[]string{"--spare", "show", "--way", "follow"}, misused, "--spare goes with --matte and --name alone"},
		{[]string{"--spare", "show"}, failed, `mask "mask" does not follow the picture anywhere`},
		{[]string{"--spare", "show", "--name", "fin"}, failed, `has no mask "fin"`},
	} {
		before := read(t, path)
		status, stdout, stderr := run(t, append([]string{"mask", path, "--matte", "skin"}, c.args...)...)
		require.Equal(t, c.status, status, "%v: %s", c.args, stderr)
		require.Empty(t, stdout)
		require.Contains(t, stderr, c.says)
		require.Equal(t, before, read(t, path))
	}
}
