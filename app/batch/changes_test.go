package batch

import (
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/export"
	"halocline/colour"
)

// exported makes a study of a clip of six frames and exports its matte twice, into a and b.
func (b beach) exported(t *testing.T) (study, one, other string) {
	t.Helper()
	fit := result[fitReport](t, "fit", b.sequence(t, span(1, 6)...), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	one, other = b.at("one"), b.at("other")
	result[exportReport](t, "export", fit.Study, "--out", one, "--no-sheet")
	result[exportReport](t, "export", fit.Study, "--out", other, "--no-sheet")
	return fit.Study, one, other
}

// paint puts a matte in place of an exported one: alpha on the left part, 0 elsewhere.
func paint(t *testing.T, folder string, frame, columns int, alpha float32) string {
	t.Helper()
	p := colour.NewPlane(beachW, beachH)
	for y := range beachH {
		for x := range columns {
			p.Row(y)[x] = alpha
		}
	}
	path := filepath.Join(folder, "skin", fmt.Sprintf("dive-skin.%06d.png", frame))
	require.FileExists(t, path)
	return writePNG(t, path, func(w io.Writer) error { return export.EncodeGrey(w, p, 16) })
}

// The figures of painted frames are worked by hand.
func TestChanges(t *testing.T) {
	b := newBeach(t)
	_, one, other := b.exported(t)
	status, stdout, _ := run(t, "changes", one, other)
	require.Zero(t, status)
	require.Equal(t, "skin: 6 frames compared, 0 changed\n", stdout)

	for _, n := range []int{3, 4} {
		paint(t, one, n, 80, 1)
	}
	paint(t, other, 3, 60, 1) // IoU 60/80
	paint(t, other, 4, 20, 1) // IoU 20/80; from frame 3 on a keeps its columns and b loses 40
	got := result[changesReport](t, "changes", one, other, "--json")
	require.Len(t, got.Mattes, 1)
	m := got.Mattes[0]
	require.Equal(t, []int{4, 3}, m.Worst)
	require.Equal(t, 2, m.Changed)
	require.Equal(t, 6, m.Compared)
	require.InDelta(t, 0.75, *m.Frames[2].IoU, 1e-9)
	require.InDelta(t, 20.0/beachW, m.Frames[2].Mean, 1e-9)
	require.InDelta(t, 1, m.Frames[2].Largest, 1e-9)
	require.InDelta(t, 0.25, *m.Frames[3].IoU, 1e-9)
	require.InDelta(t, math.Sqrt(40*beachH), *m.Frames[3].DtSSD, 1e-6)
	require.Nil(t, m.Frames[0].DtSSD, "it has no frame before it")
	require.Zero(t, *m.Frames[1].DtSSD)

	status, stdout, _ = run(t, "changes", one, other, "--worst", "1", "--frames", "3-4")
	require.Zero(t, status)
	require.Equal(t, "skin: 2 frames compared, 2 changed; IoU 0.5000, mean change 0.2500, dtSSD 69.282; most on 4 (IoU 0.2500)\n", stdout)
}

// The sheet has a row for each frame that changed: A, B, and a difference that is grey where they
// agree and dark where B keeps less.
func TestSheetOfChanges(t *testing.T) {
	b := newBeach(t)
	_, one, other := b.exported(t)
	sheet := b.at("sheet.png")
	got := result[changesReport](t, "changes", one, other, "--sheet", sheet, "--json")
	require.Empty(t, got.Sheet)
	require.NoFileExists(t, sheet, "nothing changed")

	paint(t, one, 5, 80, 1)
	paint(t, other, 5, 40, 1)
	require.Equal(t, sheet, result[changesReport](t, "changes", one, other, "--sheet", sheet, "--json").Sheet)
	f, err := os.Open(sheet)
	require.NoError(t, err)
	defer f.Close()
	m, err := png.Decode(f)
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, 16+3*496, 16+360+42+16), m.Bounds())
	grey := func(column int, share float64) uint32 {
		v, _, _, _ := m.At(16+column*496+int(share*480), 100).RGBA()
		return v >> 8
	}
	require.EqualValues(t, 255, grey(0, 0.4))
	require.EqualValues(t, 0, grey(1, 0.4))
	require.EqualValues(t, []uint32{128, 0, 128}, []uint32{grey(2, 0.1), grey(2, 0.4), grey(2, 0.8)})

	status, _, stderr := run(t, "changes", one, other, "--sheet", sheet)
	require.Equal(t, failed, status)
	require.Contains(t, stderr, sheet+" exists: give another name, or --overwrite")
	status, _, stderr = run(t, "changes", one, other, "--sheet", sheet, "--overwrite")
	require.Zero(t, status, stderr)
}

// Two depths of one matte are the same matte: what rounding does is no change.
func TestChangesOfTwoDepths(t *testing.T) {
	b := newBeach(t)
	study, one, _ := b.exported(t)
	shallow := b.at("shallow")
	result[exportReport](t, "export", study, "--out", shallow, "--depth", "8", "--no-sheet")
	status, stdout, stderr := run(t, "changes", one, shallow)
	require.Zero(t, status)
	require.Equal(t, "skin: 6 frames compared, 0 changed\n", stdout)
	require.Contains(t, stderr, "has not one depth on both sides: a pixel may change by 0.0020")
}

// What is on one side alone is named, with the exit status of a folder that verify finds unsound.
func TestChangesNameWhatIsMissing(t *testing.T) {
	b := newBeach(t)
	study, one, other := b.exported(t)
	require.NoError(t, os.Remove(filepath.Join(other, "skin", "dive-skin.000002.png")))
	part := b.at("part")
	result[exportReport](t, "export", study, "--out", part, "--frames", "2-4", "--no-sheet")
	for folder, says := range map[string]string{
		other: other + ` lacks frame 2 of matte "skin"`,
		part:  part + ` lacks frames 1, 5-6 of matte "skin"`,
	} {
		status, stdout, stderr := run(t, "changes", one, folder)
		require.Equal(t, failed, status)
		require.Contains(t, stdout, "skin: ")
		require.Contains(t, stderr, says)
		require.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
	}
	status, _, stderr := run(t, "changes", one, part, "--frames", "2-3")
	require.Zero(t, status, stderr)
	got := result[changesReport](t, "changes", one, part, "--frames", "2-4", "--json")
	require.Equal(t, 3, got.Mattes[0].Compared)

	result[fitReport](t, "fit", study, "--keep", b.drop, "--drop", b.keep, "--name", "sand")
	result[exportReport](t, "export", study, "--out", part, "--matte", "sand", "--no-sheet")
	status, _, stderr = run(t, "changes", one, part, "--frames", "2-4")
	require.Equal(t, failed, status)
	require.Contains(t, stderr, one+` lacks matte "sand"`)
	status, _, stderr = run(t, "changes", one, part, "--frames", "9")
	require.Equal(t, failed, status)
	require.Contains(t, stderr, one+` lacks frame 9 of matte "skin"; `+part+` lacks frame 9 of matte "skin"`)
}

func TestChangesOfBadInput(t *testing.T) {
	b := newBeach(t)
	_, one, other := b.exported(t)
	file := discMaskOf(t, filepath.Join(other, "skin", "dive-skin.000004.png"), 10, 10)
	at := filepath.Join(one, "skin", "dive-skin.000004.png")
	for says, args := range map[string][]string{
		at + " is 160 x 120 pixels and " + file + " is 10 x 10, want mattes of one size": {one, other},
		"lists no mattes, want a folder that an export of mattes has written":            {one, b.folder},
		`has a matte "hair", want one of "skin"`:                                         {one, other, "--matte", "hair"},
		"--frames names 9000000 frames, want 100000 or fewer":                            {one, other, "--frames", "1-9000000"},
		"--worst is 0, want 1 or more":                                                   {one, other, "--worst", "0"},
		"found 1 arguments, want changes A B":                                            {one},
		"--overwrite has no meaning without --sheet":                                     {one, other, "--overwrite"},
	} {
		status, stdout, stderr := run(t, append([]string{"changes"}, args...)...)
		require.NotZero(t, status)
		require.Empty(t, stdout)
		require.Contains(t, stderr, says)
		require.Equal(t, 1, strings.Count(stderr, "\n"), stderr)
	}
	require.NoError(t, os.WriteFile(file, []byte("seagrass"), 0o666))
	status, _, stderr := run(t, "changes", one, other)
	require.Equal(t, failed, status)
	require.Contains(t, stderr, file)
}
