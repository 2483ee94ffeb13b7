package batch

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"

	"halocline/app/cdl"
	"halocline/app/study"
)

var cdlVerb = verb{
	name: "cdl", usage: "STUDY --matte NAME --file F [--id ID] [--write] [--overwrite] [--frame N] [--key]",
	about: "Read a grade into a matte's trial from a file of ASC CDL XML, a .cc, .ccc or .cdl; with --write, write the trial to such a file. " +
		"Of a file with several grades --id names one, by its id or by its number from 1. --write without --matte writes the trials of all mattes, in their order, under their names. " +
		"A file that is there is not replaced without --overwrite, and what else is in it is then gone. " +
		"A trial is made after base: who grades applies base first (base --clf), then the matte, then through it this.",
	examples: []string{
		"halocline-batch cdl transect.halocline --matte skin --file day3.ccc --id cc0002",
		"halocline-batch cdl transect.halocline --matte skin --file skin.cc --write",
		"halocline-batch cdl transect.halocline --file transect.ccc --write",
	},
	run: runCDL,
}

type cdlResult struct {
	Study string      `json:"study"`
	File  string      `json:"file"`
	Cdls  []cdlReport `json:"corrections"` // read or written
}

type cdlReport struct {
	ID    string      `json:"id"`
	Note  string      `json:"note,omitempty"`
	Matte string      `json:"matte"`
	Trial trialReport `json:"trial"`
}

func reportCDL(c cdl.Correction, m *study.Matte, frame int) cdlReport {
	return cdlReport{c.ID, c.Note, m.Name, reportTrial(m.Trial.At(frame), m.Trial.Pivot)}
}

// cdlFlags are the verb's.
type cdlFlags struct {
	set                   *flag.FlagSet
	matte, file, id       *string
	write, overwrite, key *bool
	frame                 *int
}

func runCDL(ctx context.Context, c *call) error {
	f := c.newFlags()
	q := cdlFlags{
		set: f, matte: f.String("matte", "", "name of the matte"),
		file:  f.String("file", "", "the .cc, .ccc or .cdl"),
		id:    f.String("id", "", "which of the file's grades, by id or number; with --write, the id to write, else the matte's name"),
		write: f.Bool("write", false, "write the trial to the file"), overwrite: f.Bool("overwrite", false, "replace a file that is there"),
		frame: frameFlag(f), key: keyFlag(f),
	}
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	switch {
	case *q.file == "":
		return misuse("found no --file F, want the .cc, .ccc or .cdl to read or, with --write, to write")
	case *q.matte == "" && !*q.write:
		return misuse("found no --matte NAME, want the matte whose trial the grade is for")
	case *q.matte == "" && *q.id != "":
		return misuse("--id has no meaning for all mattes: they are written under their names")
	case *q.overwrite && !*q.write:
		return misuse("--overwrite has no meaning without --write")
	case *q.key && *q.write:
		return misuse("--key has no meaning with --write: nothing is set")
	}
	if *q.write {
		return c.writeCDL(ctx, args[0], q)
	}
	return c.readCDL(ctx, args[0], q)
}

func (c *call) readCDL(ctx context.Context, path string, q cdlFlags) error {
	if err := c.lockStudy(ctx, path); err != nil {
		return err
	}
	w, m, frame, err := c.openMatte(ctx, path, *q.matte, q.set, q.frame)
	if err != nil {
		return err
	}
	all, err := cdl.Read(*q.file)
	if err != nil {
		return err
	}
	one, err := cdl.Choose(*q.file, all, *q.id)
	if err != nil {
		return err
	}
	if *q.key {
		for _, s := range m.Trial.Settings() {
			keyAsItIs(frame, s.Track)
		}
	}
	if err := m.Trial.SetCDL(frame, one.CDL); err != nil {
		return fmt.Errorf("batch: %s: correction %q: %w", *q.file, one.ID, err)
	}
	if err := w.save(ctx, ""); err != nil {
		return err
	}
	if m.Trial.Off {
		c.notice("the trial of %q is off: trial --on lets it grade", m.Name)
	}
	return c.printJSON(cdlResult{w.Path, *q.file, []cdlReport{reportCDL(one, m, frame)}})
}

func (c *call) writeCDL(ctx context.Context, path string, q cdlFlags) error {
	w, err := c.openStudy(ctx, path)
	if err != nil {
		return err
	}
	frame, err := w.frameOf(q.set, q.frame)
	if err != nil {
		return err
	}
	var names []string
	if *q.matte != "" {
		names = []string{*q.matte}
	}
	mattes, err := w.mattes(names)
	if err != nil {
		return err
	}
	if _, err := os.Lstat(*q.file); !*q.overwrite && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("batch: %s exists: give another name, or --overwrite", *q.file)
	}
	if err := w.spare(*q.file); err != nil {
		return err
	}
	result := cdlResult{w.Path, *q.file, []cdlReport{}}
	var all []cdl.Correction
	for _, m := range mattes {
		one := cdl.Correction{ID: m.Name, CDL: m.Trial.At(frame).CDL()}
		if *q.id != "" {
			one.ID = *q.id
		}
		all = append(all, one)
		result.Cdls = append(result.Cdls, reportCDL(one, m, frame))
	}
	if err := cdl.Write(*q.file, all); err != nil {
		return err
	}
	return c.printJSON(result)
}
