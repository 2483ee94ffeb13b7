package batch

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"halocline/app/clip"
	"halocline/app/export"
)

var verifyVerb = verb{
	name: "verify", usage: "DIR... [--frames A-B,C]",
	about: "Check by the folders' manifests that every planned frame is there once, byte for byte, with the settings of the newest export that lists it. " +
		"The shards of an export may lie in one folder or in several. Every file is read in full.",
	examples: []string{"halocline-batch verify mattes", "halocline-batch verify disk1/mattes disk2/mattes --frames 1-72"},
	run:      runVerify,
}

type verifyReport struct {
	Folders    []string       `json:"folders"`
	Good       int            `json:"good"`
	Beside     int            `json:"beside"` // sheets, overlays and movies
	Missing    []export.Gap   `json:"missing"`
	Stale      []export.Gap   `json:"stale"`   // made with other settings than the newest export's
	Skipped    []export.Gap   `json:"skipped"` // without a picture: their footage cannot be read
	Faults     []export.Fault `json:"faults"`
	Duplicates []export.Twice `json:"duplicates"`
	Strangers  []string       `json:"strangers"`
}

// mostFolders is what a command line may name.
const mostFolders = 10000

func runVerify(ctx context.Context, c *call) error {
	f := c.newFlags()
	framesText := f.String("frames", "", "numbers and ranges that must be there, such as 1-24,30; those that were to be exported without it")
	folders, err := c.parse(f, 1, mostFolders)
	if err != nil {
		return err
	}
	spans, err := parseFrames(f, *framesText)
	if err != nil {
		return err
	}
	r, err := export.Verify(ctx, spans, folders...)
	if err != nil {
		return err
	}
	if err := c.printJSON(reportOf(folders, r)); err != nil {
		return err
	}
	if n := len(r.Strangers); n > 0 {
		c.notice("no export wrote %s", shortList(r.Strangers))
	}
	if len(r.Processors) > 1 {
		c.notice("masks searched for edges on processors of several kinds (%s): the pictures may differ at single pixels there", strings.Join(r.Processors, ", "))
	}
	for _, path := range r.Cut {
		c.notice("the last line of %s was cut when its writer was killed: it is left out", path)
	}
	return unsound(r, folders)
}

// reportOf has empty lists rather than none.
func reportOf(folders []string, r export.Report) verifyReport {
	return verifyReport{folders, r.Good, r.Beside, emptied(r.Missing), emptied(r.Stale), emptied(r.Skipped), emptied(r.Faults), emptied(r.Duplicates), emptied(r.Strangers)}
}

func emptied[T any](list []T) []T { return append([]T{}, list...) }

// unsound says what is wrong with folders, nil for nothing.
func unsound(r export.Report, folders []string) error {
	var wrong []string
	if n := len(r.Faults); n > 0 {
		wrong = append(wrong, fmt.Sprintf("%d of %d files are missing or damaged", n, r.Good+r.Beside+n))
	}
	for _, k := range []struct {
		gaps []export.Gap
		what string
	}{{r.Missing, "were never written"}, {r.Stale, "are of other settings than the newest export"}, {r.Skipped, "have no picture, because their footage cannot be read"}} {
		for _, g := range k.gaps {
			text, err := gapText(g, k.what)
			if err != nil {
				return err
			}
			wrong = append(wrong, text)
		}
	}
	if n := len(r.Duplicates); n > 0 {
		wrong = append(wrong, fmt.Sprintf("%d frames are there more than once, first %s", n, strings.Join(r.Duplicates[0].Names, " and ")))
	}
	if len(wrong) == 0 {
		return nil
	}
	return fmt.Errorf("batch: in %s %s", strings.Join(folders, ", "), strings.Join(wrong, "; "))
}

// gapText says what frames are not as their plan says.
func gapText(g export.Gap, what string) (string, error) {
	spans, err := clip.ParseSpans(g.Frames)
	if err != nil {
		return "", err
	}
	of := string(g.Kind)
	if g.Matte != "" {
		of = fmt.Sprintf("%s %q", g.Kind, g.Matte)
	}
	return fmt.Sprintf("%d frames of %s %s (%s)", g.Count, of, what, clip.SpansText(spans)), nil
}

// listTold is how many names a notice lists.
const listTold = 3

func shortList(names []string) string {
	names = slices.Clone(names)
	if n := len(names) - listTold; n > 0 {
		names = append(names[:listTold], fmt.Sprintf("%d more", n))
	}
	return strings.Join(names, ", ")
}
