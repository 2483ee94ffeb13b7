package batch

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"halocline/app/check"
	"halocline/app/clip"
	"halocline/app/export"
	"halocline/colour"
	"io/fs"
	"maps"
	"os"
	"slices"
)

// A changePair is one matte in both folders, and what became of it.
type changePair struct {
	a, b   export.MatteSeries
	frames []int // that are compared or missing, ascending
	matte  changeMatte
	depths [2]map[int]bool // in bits, of both sides' files
}

// A readPair is one frame of both sides.
type readPair struct {
	frame int
	a, b  colour.Plane
}

// compare fills in what became of the matte. What cannot be read is an error; what is not there
// is missing.
func (p *changePair) compare(ctx context.Context, worst int) error {
	p.matte = changeMatte{Name: p.a.Matte, Frames: []changeFrame{}, Worst: []int{}}
	var before *readPair
	for _, n := range p.frames {
		gone := [2]bool{isGone(p.a.Files[n]), isGone(p.b.Files[n])}
		for side, is := range gone {
			if is {
				p.matte.missing[side] = append(p.matte.missing[side], n)
			}
		}
		if gone[0] || gone[1] {
			continue
		}
		now, err := p.read(ctx, n)
		if err != nil {
			return err
		}
		f, err := changeOf(ctx, before, now)
		if err != nil {
			return fmt.Errorf("batch: %s against %s: %w", p.a.Files[n], p.b.Files[n], err)
		}
		p.matte.Frames = append(p.matte.Frames, f)
		before = &now
	}
	p.summarize(worst)
	return nil
}

// isGone reports whether a file that a manifest lists is not there; "" is none that it lists.
func isGone(path string) bool {
	if path == "" {
		return true
	}
	_, err := os.Stat(path)
	return errors.Is(err, fs.ErrNotExist)
}

// read reads a frame of both sides at once.
func (p *changePair) read(ctx context.Context, n int) (readPair, error) {
	r := readPair{frame: n}
	var depths [2]int
	var errs [2]error
	done := make(chan struct{})
	go func() {
		defer close(done)
		r.b, depths[1], errs[1] = readMatte(ctx, p.b.Files[n])
	}()
	r.a, depths[0], errs[0] = readMatte(ctx, p.a.Files[n])
	<-done
	for _, err := range errs {
		if err != nil {
			return r, err
		}
	}
	if !r.a.SameSize(r.b) {
		return r, fmt.Errorf("batch: %s is %d x %d pixels and %s is %d x %d, want mattes of one size", p.a.Files[n], r.a.W, r.a.H, p.b.Files[n], r.b.W, r.b.H)
	}
	for side, bits := range depths {
		p.depths[side][bits] = true
	}
	return r, nil
}

func readMatte(ctx context.Context, path string) (colour.Plane, int, error) {
	plane, info, err := clip.ReadGrey(ctx, path)
	return plane, info.Depth, err
}

// changeOf compares a frame of both sides, and where the frame before was compared too, how both
// changed since.
func changeOf(ctx context.Context, before *readPair, now readPair) (changeFrame, error) {
	c, err := check.Compare(ctx, now.a, now.b)
	if err != nil {
		return changeFrame{}, err
	}
	f := changeFrame{Frame: now.frame, IoU: c.IoU, Mean: c.Mean, Largest: c.Largest}
	if before == nil || before.frame != now.frame-1 {
		return f, nil
	}
	d, err := check.DtSSD(ctx, before.a, now.a, before.b, now.b)
	f.DtSSD = &d
	return f, err
}

// summarize fills in the means, and which frames changed most.
func (p *changePair) summarize(worst int) {
	m := &p.matte
	m.Compared = len(m.Frames)
	m.MissingA, m.MissingB = export.FramesText(m.missing[0]), export.FramesText(m.missing[1])
	var iou, mean, dtssd []float64
	for i := range m.Frames {
		f := &m.Frames[i]
		f.changed = f.Largest > p.rounding()
		mean = append(mean, f.Mean)
		if f.IoU != nil {
			iou = append(iou, *f.IoU)
		}
		if f.DtSSD != nil {
			dtssd = append(dtssd, *f.DtSSD)
		}
	}
	m.MeanIoU, m.Mean, m.DtSSD = meanOf(iou), meanOf(mean), meanOf(dtssd)
	changed := slices.DeleteFunc(slices.Clone(m.Frames), func(f changeFrame) bool { return !f.changed })
	m.Changed = len(changed)
	slices.SortStableFunc(changed, func(a, b changeFrame) int {
		return cmp.Or(cmp.Compare(*a.IoU, *b.IoU), cmp.Compare(b.Mean, a.Mean))
	})
	for _, f := range changed[:min(worst, len(changed))] {
		m.Worst = append(m.Worst, f.Frame)
	}
}

// meanOf returns the mean of values; nil for none.
func meanOf(values []float64) *float64 {
	if len(values) == 0 {
		return nil
	}
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	sum /= float64(len(values))
	return &sum
}

// ofTwoDepths reports whether the sides' files have different depths.
func (p *changePair) ofTwoDepths() bool { return !maps.Equal(p.depths[0], p.depths[1]) }

// rounding is how far a pixel may change by rounding alone: half a code of 8 bits and half a code
// of 16 where the sides have different depths.
func (p *changePair) rounding() float64 {
	if !p.ofTwoDepths() {
		return 0
	}
	return 0.5/255 + 0.5/65535
}

// tell tells what to know about the figures.
func (p *changePair) tell(c *call) {
	if p.ofTwoDepths() {
		c.notice("matte %q has not one depth on both sides: a pixel may change by %.4f by rounding, which counts as no change", p.matte.Name, p.rounding())
	}
	if p.a.Source != p.b.Source && p.a.Source != "" && p.b.Source != "" {
		c.notice("matte %q was made of other footage on either side, or of footage that was changed between", p.matte.Name)
	}
}
