package batch

import (
	"context"
	"flag"
	"fmt"
	"image"
	"image/png"
	"io"
	"path/filepath"
	"strings"

	"halocline/app/clip"
	"halocline/app/export"
	"halocline/app/ink"
	"halocline/app/proof"
	"halocline/app/study"
	"halocline/app/view"
)

var proofsVerb = verb{
	name: "proofs", usage: "STUDY --matte NAME [--sweep NAME=FROM:TO:COUNT] [--frames A-B,C] [--without-kept] [--view matte|hatch|cutout|trial] [--region X,Y,W,H] [--sort FIGURE] [--keep] [--sheet OUT.png] [--csv OUT.csv] [--overwrite]",
	about: "Lay a matte as it is, the proofs kept of it and, with --sweep, the same matte over one number, side by side on one frame or a few: " +
		"pictures at the same spot and zoom, and for each the separation of the dabs, the area, the width of its edge, specks, holes, flicker, the edge mismatch, and rim, bleed and misfit of its trial. " +
		"It tells where in the sweep the misfit is least; of softness on one frame that is what the window offers, and one of the values. With --keep the values of the sweep become proofs of the study; else nothing in it changes. " +
		"A sweep goes over a number of the edge (" + strings.Join(settingsFlags(new(study.Edge).Settings()), ", ") + "), over a fade such as hue-after, over a plane's plane-level, plane-fade-before or plane-fade-after, or over a mask's feather such as outer:swimmer.",
	examples: []string{
		"halocline-batch proofs transect.halocline --matte skin --sweep soften=0:12:7 --sheet soften.png --csv soften.csv",
		"halocline-batch proofs transect.halocline --matte skin --frames 1,24,48,72 --view cutout --sheet kept.png",
		"halocline-batch proofs transect.halocline --matte skin --sweep hue-after=0:40:5 --keep",
	},
	run: runProofs,
}

type proofsReport struct {
	Study  string        `json:"study"`
	Matte  string        `json:"matte"`
	Frames []int         `json:"frames"`
	Sweep  *sweepReport  `json:"sweep,omitempty"`
	Proofs []proofReport `json:"proofs"` // in the sheet's order
	Sheet  string        `json:"sheet,omitempty"`
	Csv    string        `json:"csv,omitempty"`
}

type sweepReport struct {
	Of     string    `json:"of"`
	Unit   string    `json:"unit,omitempty"`
	Values []float64 `json:"values"`
	// Least is nothing where a value has no seam.
	Least *leastReport `json:"leastMisfit,omitempty"`
}

type leastReport struct {
	Proof string  `json:"proof"`
	Value float64 `json:"value"` // of that proof
	// At lies between values: it is read off a parabola.
	At float64 `json:"at"`
	// AtAnEnd tells that it may be less beyond the sweep's ends.
	AtAnEnd bool `json:"atAnEnd,omitempty"`
}

type proofReport struct {
	Name         string   `json:"name"`
	Note         string   `json:"note,omitempty"`
	KeptAs       string   `json:"keptAs,omitempty"` // the name of that proof in the study
	Now          bool     `json:"now,omitempty"`    // the matte's settings as they are
	Value        *float64 `json:"value,omitempty"`
	Frames       int      `json:"frames"`
	Separation   *float64 `json:"separation,omitempty"`
	Area         *float64 `json:"area,omitempty"`
	EdgeWidth    *float64 `json:"edgeWidth,omitempty"`
	Specks       *float64 `json:"specks,omitempty"`
	Holes        *float64 `json:"holes,omitempty"`
	Flicker      *float64 `json:"flicker,omitempty"`
	Rim          *float64 `json:"rim,omitempty"`
	Bleed        *float64 `json:"bleed,omitempty"`
	Misfit       *float64 `json:"misfit,omitempty"`
	EdgeMismatch *float64 `json:"edgeMismatch,omitempty"`
	MaskedEdge   *float64 `json:"maskedEdge,omitempty"` // the share of the edge that masks end
	Error        string   `json:"error,omitempty"`
}

func reportProof(it proof.Item, f proof.Figures) proofReport {
	r := proofReport{
		Name: it.Name, Note: it.Note, KeptAs: it.KeptAs, Now: it.Now, Frames: f.Frames,
		Separation: f.Separation, Area: f.Area, EdgeWidth: f.EdgeWidth, Specks: f.Specks, Holes: f.Holes, Flicker: f.Flicker,
		Rim: f.Rim, Bleed: f.Bleed, Misfit: f.Misfit, EdgeMismatch: f.EdgeMismatch, MaskedEdge: f.MaskedEdge,
	}
	if it.Swept {
		r.Value = &it.Value
	}
	if f.Err != nil {
		r.Error = oneLine(f.Err)
	}
	return r
}

// proofsFlags are those of the verb.
type proofsFlags struct {
	study, matte, sweep string
	spans               []clip.Span
	withoutKept, keep   bool
	view                view.View
	region              image.Rectangle
	sort                *proof.Column // nil: as they stand
	sheet, csv          string
	overwrite           bool
}

func (c *call) proofsFlags() (p proofsFlags, err error) {
	f := c.newFlags()
	f.StringVar(&p.matte, "matte", "", "name of the matte")
	f.StringVar(&p.sweep, "sweep", "", "a number of its settings, from, to, and how many values, finer near 0")
	frames := f.String("frames", "", "numbers such as 1,24,48, up to 16; the first without it")
	f.BoolVar(&p.withoutKept, "without-kept", false, "leave the kept proofs out")
	f.BoolVar(&p.keep, "keep", false, "keep the values of the sweep as proofs in the study")
	look := f.String("view", "matte", "matte, hatch, cutout or trial")
	part := f.String("region", "", "the part of the frame that is shown, in pixels: left, top, width, height; all without it")
	sort := f.String("sort", "", "the figure by which they stand, the best first")
	f.StringVar(&p.sheet, "sheet", "", "the picture to write, a PNG")
	f.StringVar(&p.csv, "csv", "", "the table to write")
	f.BoolVar(&p.overwrite, "overwrite", false, "replace files of those names")
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return p, err
	}
	p.study = args[0]
	switch {
	case p.matte == "":
		return p, misuse("found no --matte NAME, want the matte whose proofs are meant")
	case p.keep && p.sweep == "":
		return p, misuse("--keep has no meaning without --sweep")
	case p.withoutKept && p.sweep == "":
		return p, misuse("--without-kept has no meaning without --sweep")
	}
	return p, p.read(f, *frames, *part, *look, *sort)
}

func (p *proofsFlags) read(f *flag.FlagSet, frames, part, look, sort string) (err error) {
	if p.spans, err = parseFrames(f, frames); err != nil {
		return err
	}
	if p.view, err = view.Parse(look, proof.Views...); err != nil {
		return misuse("--view: %s", strings.TrimPrefix(err.Error(), "view: "))
	}
	if sort != "" {
		column, err := proof.ColumnNamed(sort)
		if err != nil {
			return misuse("--sort: %s", strings.TrimPrefix(err.Error(), "proof: "))
		}
		p.sort = &column
	}
	p.region, err = parseRegion(part)
	return err
}

// parseRegion reads X,Y,W,H; "" is the whole frame.
func parseRegion(s string) (image.Rectangle, error) {
	if s == "" {
		return image.Rectangle{}, nil
	}
	var v [4]int
	parts := strings.Split(s, ",")
	if len(parts) != len(v) {
		return image.Rectangle{}, misuse("--region is %q, want X,Y,W,H in pixels", s)
	}
	for i := range v {
		x, err := number(parts[i])
		if err != nil || x != float64(int(x)) || i > 1 && x < 1 {
			return image.Rectangle{}, misuse("--region is %q, want X,Y,W,H in whole pixels, W and H at least 1", s)
		}
		v[i] = int(x)
	}
	return image.Rect(v[0], v[1], v[0]+v[2], v[1]+v[3]), nil
}

// mostProofFrames are more than one can see in a picture of a sheet.
const mostProofFrames = 16

func runProofs(ctx context.Context, c *call) error {
	p, err := c.proofsFlags()
	if err != nil {
		return err
	}
	if err := p.free(); err != nil {
		return err
	}
	if p.keep {
		if err := c.lockStudy(ctx, p.study); err != nil {
			return err
		}
	}
	w, err := c.openStudy(ctx, p.study)
	if err != nil {
		return err
	}
	for _, path := range []string{p.sheet, p.csv} {
		if err := w.spare(path); path != "" && err != nil {
			return err
		}
	}
	m, err := w.matte(p.matte)
	if err != nil {
		return err
	}
	sheet, sweep, err := w.proofSheet(ctx, m, p)
	if err != nil {
		return err
	}
	figures := make([]proof.Figures, len(sheet.Items))
	if err := sheet.Judge(ctx, w.Renderer, new(proof.Cache), func(i int, f proof.Figures) { figures[i] = f }); err != nil {
		return err
	}
	order := make([]int, len(figures))
	for i := range order {
		order[i] = i
	}
	if p.sort != nil {
		order = p.sort.Order(figures)
	}
	report := proofsReport{Study: w.Path, Matte: m.Name, Frames: sheet.Frames, Sheet: p.sheet, Csv: p.csv, Sweep: reportSweep(sweep, sheet.Items, figures)}
	for _, i := range order {
		report.Proofs = append(report.Proofs, reportProof(sheet.Items[i], figures[i]))
	}
	if err := w.writeProofs(ctx, p, sheet, sweep, figures, order); err != nil {
		return err
	}
	if p.keep {
		if err := w.keepSweep(ctx, m, sheet.Items); err != nil {
			return err
		}
	}
	return c.printJSON(report)
}

// free returns an error where a file would be replaced.
func (p *proofsFlags) free() error {
	if p.sheet != "" && p.csv != "" && filepath.Clean(p.sheet) == filepath.Clean(p.csv) {
		return misuse("--sheet and --csv are both %s, want two files", p.sheet)
	}
	for _, path := range []string{p.sheet, p.csv} {
		if err := freeFile(path, p.overwrite); err != nil {
			return err
		}
	}
	return nil
}

func (w opened) proofSheet(ctx context.Context, m *study.Matte, p proofsFlags) (*proof.Sheet, *proof.Sweep, error) {
	frames := []int{w.Clip.First()}
	if p.spans != nil {
		var err error
		if frames, err = w.numbersOf(p.spans); err != nil {
			return nil, nil, err
		}
	}
	if len(frames) > mostProofFrames {
		return nil, nil, misuse("--frames names %d frames, want %d at most", len(frames), mostProofFrames)
	}
	var sweep *proof.Sweep
	if p.sweep != "" {
		s, err := proof.ParseSweep(&m.Settings, p.sweep)
		if err != nil {
			return nil, nil, misuse("--sweep: %s", strings.TrimPrefix(err.Error(), "proof: "))
		}
		sweep = &s
		if sweep.Of.Name == "soften" && len(frames) == 1 {
			var err error
			if sweep.Offered, err = proof.OfferedSoftness(ctx, w.Renderer, w.Study, &m.Settings, frames[0]); err != nil {
				return nil, nil, err
			}
		}
	}
	items := proof.Items(m, !p.withoutKept, sweep)
	if p.sort == nil && p.sweep == "" && len(items) == 1 {
		return nil, nil, fmt.Errorf("batch: matte %q has no proofs yet: keep some with --sweep and --keep, or in the window", m.Name)
	}
	return &proof.Sheet{Study: w.Study, Matte: m, Items: items, Frames: frames, Clip: w.Clip.Frames()}, sweep, nil
}

func reportSweep(sweep *proof.Sweep, items []proof.Item, figures []proof.Figures) *sweepReport {
	if sweep == nil {
		return nil
	}
	r := &sweepReport{Of: sweep.Of.Name, Unit: sweep.Of.Unit, Values: sweep.Values()}
	if l, ok := proof.LeastMisfit(items, figures); ok {
		it := items[l.Item]
		r.Least = &leastReport{it.Name, it.Value, l.At, !l.Inside}
	}
	return r
}

// writeProofs writes the sheet and the table that were asked for.
func (w opened) writeProofs(ctx context.Context, p proofsFlags, s *proof.Sheet, sweep *proof.Sweep, figures []proof.Figures, order []int) error {
	if p.csv != "" {
		if err := export.WriteFile(p.csv, func(out io.Writer) error { return proof.WriteCSV(out, s.Items, figures, order, sweep) }); err != nil {
			return err
		}
	}
	if p.sheet == "" {
		return nil
	}
	picture, err := s.Draw(ctx, w.Renderer, figures, proof.Contact{
		Title: "Proofs of " + s.Matte.Name, About: aboutProofs(w, p, s, sweep),
		View: p.view, Region: p.region, Order: order, Sweep: sweep, Chosen: -1, Type: ink.GoType(),
	})
	if err != nil {
		return err
	}
	return export.WriteFile(p.sheet, func(out io.Writer) error { return png.Encode(out, picture) })
}

func aboutProofs(w opened, p proofsFlags, s *proof.Sheet, sweep *proof.Sweep) string {
	parts := []string{w.Study.Clip.Name()}
	if len(s.Frames) == 1 {
		parts = append(parts, fmt.Sprintf("frame %d", s.Frames[0]))
	} else {
		parts = append(parts, "frames "+clip.SpansText(clip.SpansOf(s.Frames))+", figures are their means")
	}
	parts = append(parts, p.view.String())
	if !p.region.Empty() {
		parts = append(parts, fmt.Sprintf("%d x %d pixels from %d, %d", p.region.Dx(), p.region.Dy(), p.region.Min.X, p.region.Min.Y))
	}
	if sweep != nil {
		parts = append(parts, fmt.Sprintf("%s from %s to %s, %d values", sweep.Of.Label, sweep.Of.Value(sweep.From), sweep.Of.Value(sweep.To), sweep.Count))
	}
	if p.sort != nil {
		parts = append(parts, "sorted by "+p.sort.Name)
	}
	return strings.Join(parts, "; ")
}

// keepSweep makes proofs of a sweep's values, but for those that are kept already.
func (w opened) keepSweep(ctx context.Context, m *study.Matte, items []proof.Item) error {
	now := m.Settings
	for _, it := range items {
		if !it.Swept || it.Kept != 0 {
			continue
		}
		m.Settings = it.Settings.Clone()
		w.Study.KeepProof(m, it.Name)
	}
	m.Settings = now
	return w.save(ctx, "")
}
