package proofs

import (
	"context"
	"fmt"
	"image/png"
	"io"
	"slices"
	"strings"

	"fyne.io/fyne/v2"

	"halocline/app/export"
	"halocline/app/proof"
	"halocline/app/ui/look"
)

// use makes the chosen settings the matte's own, and closes the sheet.
func (p *Sheet) use() {
	it := p.items[p.chosen]
	p.sheet.Close()
	if it.Now {
		return
	}
	p.desk.UseProof(it)
}

// unkept is how many proofs of the sweep are not kept.
func (p *Sheet) unkept() (n int) {
	for _, it := range p.items {
		if it.Swept && it.Kept == 0 {
			n++
		}
	}
	return n
}

// keepAll keeps all proofs of the sweep.
func (p *Sheet) keepAll() {
	p.desk.KeepProofs(p.items, p.notes)
	p.build()
}

// forget takes a kept proof out of the study.
func (p *Sheet) forget() {
	p.desk.ForgetProof(p.items[p.chosen].Kept)
	p.build()
}

// noteOf is the note of an item.
func (p *Sheet) noteOf(item int) string {
	if p.items[item].Kept != 0 {
		return p.items[item].Note
	}
	return p.notes[item]
}

// setNote notes something about the chosen item: of one that is kept in the study,
// else until it is.
func (p *Sheet) setNote(text string) {
	it := &p.items[p.chosen]
	if it.Kept == 0 {
		p.notes[p.chosen] = text
		return
	}
	if p.desk.NoteProof(it.Kept, text) {
		it.Note = text
		p.study, p.matte = p.desk.Study(), p.desk.Matte()
	}
}

// sweepFiner sweeps between the neighbours of the value with the least misfit.
func (p *Sheet) sweepFiner() {
	l, ok := proof.LeastMisfit(p.items, p.figures)
	values := p.sweep.Values()
	at := slices.IndexFunc(values, func(v float64) bool { return ok && v == p.items[l.Item].Value })
	if at < 1 || at > len(values)-2 {
		return
	}
	s := *p.sweep
	s.From, s.To = values[at-1], values[at+1]
	p.setSweep(&s)
}

// against says what the chosen item is better and worse at than the matte as it is.
func (p *Sheet) against() (better, worse string) {
	now := slices.IndexFunc(p.items, func(it proof.Item) bool { return it.Now })
	if now < 0 || now == p.chosen {
		return "This is the matte as it is.", ""
	}
	if !p.figures[now].Judged || !p.figures[p.chosen].Judged {
		return "…", ""
	}
	c := proof.Compare(p.figures[now], p.figures[p.chosen])
	return c.BetterText(), c.WorseText()
}

// aboutSheet says what the sheet shows, for a file.
func (p *Sheet) aboutSheet() string {
	parts := []string{p.study.Clip.Name()}
	if p.desk.Several() {
		parts = append(parts, "frames "+strings.Trim(strings.Join(strings.Fields(fmt.Sprint(p.frames())), ", "), "[]"))
	}
	parts = append(parts, p.view.String())
	if p.sweep != nil {
		parts = append(parts, fmt.Sprintf("%s from %s to %s, %d values", p.sweep.Of.Label, p.sweep.Of.Value(p.sweep.From), p.sweep.Of.Value(p.sweep.To), p.sweep.Count))
	}
	return strings.Join(parts, "; ")
}

// noted are the items with the notes that are not kept yet.
func (p *Sheet) noted() []proof.Item {
	items := slices.Clone(p.items)
	for i := range items {
		items[i].Note = p.noteOf(i)
	}
	return items
}

// writeSheet prints the sheet in the background; its error is told when it comes.
func (p *Sheet) writeSheet(path string) error {
	s := p.proofs()
	s.Items = p.noted()
	c := proof.Contact{
		Title: "Proofs of " + p.matte.Name, About: p.aboutSheet(), View: p.view, Region: p.vp.Visible(), Order: slices.Clone(p.order),
		Sweep: p.sweep, Chosen: p.chosen, Type: look.Type,
	}
	figures, r := slices.Clone(p.figures), p.desk.Work.Renderer
	p.foot.say("Writing " + path)
	go func() {
		picture, err := s.Draw(context.Background(), r, figures, c)
		if err == nil {
			err = export.WriteFile(path, func(out io.Writer) error { return png.Encode(out, picture) })
		}
		fyne.Do(func() { p.foot.wrote(path, err) })
	}()
	return nil
}

// writeTable writes the figures.
func (p *Sheet) writeTable(path string) error {
	err := export.WriteFile(path, func(out io.Writer) error { return proof.WriteCSV(out, p.noted(), p.figures, p.order, p.sweep) })
	if err == nil {
		p.foot.wrote(path, nil)
	}
	return err
}
