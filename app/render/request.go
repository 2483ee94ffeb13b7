package render

import (
	"context"
	"fmt"
	"image"
	"math/bits"
	"slices"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// A Request says what to render.
type Request struct {
	Study *study.Study
	// Settings are a matte's, or a proof's. Shown and Trial need none; neither
	// does Picked, which is smoothed then.
	Settings *study.Settings
	Frame    int // the source's number
	// Region is the part that is asked for, in source pixels; empty is the
	// whole frame. What lies outside the frame is cut off, and on a proxy it
	// grows to whole pixels.
	Region image.Rectangle
	// Factor is how many of the source's pixels, each way, become one: 1, which
	// 0 means too, is every pixel.
	Factor int
	// Draft lets a proxy's pick read the proxy. Otherwise it is the mean of what
	// the pick makes of every pixel, which is far closer to the whole result
	// but takes all of the conversions at full detail. At factor 1 there is no
	// difference.
	Draft bool
	// Hasty leaves noise smoothing out before a proxy's pick, whatever the settings
	// say: making the proxy takes the mean of its pixels, which smooths their noise
	// nearly as well, and smoothing takes longer than all the rest of a new frame.
	// What align reads stays smoothed. At factor 1 there is no difference.
	Hasty bool
	// NoSearch leaves masks as their outlines say where their edges were not found before:
	// finding one takes longer than all the rest of a new frame.
	NoSearch bool
	// NoSettle leaves settle out, also in what is taken in: it takes the mattes of three frames and
	// the motion between them.
	NoSettle bool
	// Hidden are the ids of mattes whose trials Trial leaves out.
	Hidden []int
}

// A place is one frame of a study.
type place struct {
	study *study.Study
	frame int
}

func (p place) sourceKey() string {
	c := &p.study.Clip
	key := fmt.Sprintf("%d of %s", p.frame, c.Path)
	if c.Matrix != "" || c.Range != "" {
		key += " as " + c.Matrix + " " + c.Range
	}
	return key
}

// A part is a request worked out: its settings as they are on the frame, and
// its pixels.
type part struct {
	*Renderer
	place
	at     study.SettingsAt
	factor int
	draft  bool
	size   image.Point     // of the source
	work   image.Rectangle // what is worked on, in pixels of the proxy
	want   image.Rectangle // what is asked for, likewise
	need   *cells          // of work, where results are needed
}

// maxFactor is the largest that package mask draws.
const maxFactor = 1 << 10

// part plans a request. It decodes the frame where its size is not known.
func (r *Renderer) part(ctx context.Context, q Request) (*part, error) {
	p := &part{Renderer: r, place: place{q.Study, q.Frame}, factor: max(q.Factor, 1), draft: q.Draft, at: study.SettingsAt{Smooth: true}}
	if q.Factor < 0 || q.Factor > maxFactor {
		return nil, fmt.Errorf("render: proxy factor is %d, want 1 to %d", q.Factor, maxFactor)
	}
	if q.Settings != nil {
		p.at = q.Study.SettingsAt(q.Settings, q.Frame)
	}
	if q.NoSettle {
		p.at = p.at.Unsettled()
	}
	if q.Hasty && p.factor > 1 {
		p.at = hasty(p.at)
	}
	var err error
	if p.size, err = r.size(ctx, p.place); err != nil {
		return nil, err
	}
	region := q.Region.Intersect(image.Rectangle{Max: p.size})
	switch {
	case q.Region.Empty():
		p.want = p.whole()
	case region.Empty():
		return nil, fmt.Errorf("render: region %v lies outside the frame, want a part of %d x %d", q.Region, p.size.X, p.size.Y)
	default:
		p.want = image.Rectangle{Min: region.Min.Div(p.factor), Max: p.shrunk(region.Max)}
	}
	if q.NoSearch {
		p.at = p.withoutSearch(p.at)
	}
	p.work = p.around(p.want)
	return p, nil
}

// hasty returns settings that leave noise smoothing out, also in what they take in and settle
// with.
func hasty(at study.SettingsAt) study.SettingsAt {
	at.Smooth = false
	at.Joined = slices.Clone(at.Joined)
	for i := range at.Joined {
		at.Joined[i].Settings = hasty(at.Joined[i].Settings)
	}
	if t := at.Settle; t != nil {
		at.Settle = &study.SettleAt{Share: t.Share, Before: hasty(t.Before), After: hasty(t.After)}
	}
	return at
}

// full returns the same part at full detail.
func (p *part) full() *part {
	f := *p
	f.factor = 1
	f.work = p.inSource()
	f.want = f.work
	f.need = p.needInDetail()
	return &f
}

// only returns the same part with results needed in some cells alone.
func (p *part) only(need *cells) *part {
	q := *p
	q.need = need
	return &q
}

// needInDetail is need in pixels of the source.
func (p *part) needInDetail() *cells { return p.need.inDetail(p.factor, p.inSource().Size()) }

// shrunk returns a size or an end in pixels of the proxy.
func (p *part) shrunk(end image.Point) image.Point {
	return end.Add(image.Pt(p.factor-1, p.factor-1)).Div(p.factor)
}

func (p *part) whole() image.Rectangle { return image.Rectangle{Max: p.shrunk(p.size)} }

func (p *part) isWhole() bool { return p.work == p.whole() }

// smoothReach is how far noise smoothing reads: its window is 5 x 5.
const smoothReach = 2

// around returns what must be worked on for a part to be as it is in the whole
// frame: with a margin for what the edge treatment and noise smoothing read, from a
// multiple of RegionGrid on. Margins are powers of two, so that a slider that moves
// a little leaves the region where it is, and what the cache has of it good. A part
// that is most of the frame is taken from the whole.
func (p *part) around(want image.Rectangle) image.Rectangle {
	whole := p.whole()
	if want == whole {
		return whole
	}
	margin := p.reach() + (smoothReach+p.factor-1)/p.factor
	margin = 1 << bits.Len(uint(min(margin, 1<<20)-1))
	out := want.Inset(-margin).Intersect(whole)
	out.Min = out.Min.Div(selection.RegionGrid).Mul(selection.RegionGrid)
	out.Max = ceil(out.Max, selection.RegionGrid)
	out = out.Intersect(whole)
	if 4*area(out) >= 3*area(whole) {
		return whole
	}
	return out
}

func ceil(p image.Point, n int) image.Point {
	return image.Pt((p.X+n-1)/n*n, (p.Y+n-1)/n*n)
}

func area(r image.Rectangle) int { return r.Dx() * r.Dy() }

// inSource returns what is worked on in pixels of the source.
func (p *part) inSource() image.Rectangle {
	r := image.Rectangle{Min: p.work.Min.Mul(p.factor), Max: p.work.Max.Mul(p.factor)}
	return r.Intersect(image.Rectangle{Max: p.size})
}

// where is the part of a key that says what is worked on at full detail.
func (p *part) where() string {
	if p.isWhole() {
		return ""
	}
	return " in " + p.inSource().String()
}

// wanted cuts what is asked for out of what was worked on.
func (p *part) wanted(ctx context.Context, m *colour.Plane) (colour.Plane, error) {
	if p.want == p.work {
		return *m, nil
	}
	var out colour.Plane
	err := cut(ctx, &out, *m, p.want.Sub(p.work.Min), p.workers)
	return out, err
}

func (p *part) wantedImage(ctx context.Context, m *colour.Image) (*colour.Image, error) {
	if p.want == p.work {
		return m, nil
	}
	out := new(colour.Image)
	return out, cutImage(ctx, out, m, p.want.Sub(p.work.Min), p.workers)
}

// cut makes dst the part r of src.
func cut(ctx context.Context, dst *colour.Plane, src colour.Plane, r image.Rectangle, workers int) error {
	dst.Reshape(r.Dx(), r.Dy())
	return colour.EachBand(ctx, workers, dst.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			copy(dst.Row(y), src.Row(r.Min.Y + y)[r.Min.X:r.Max.X])
		}
	})
}

func cutImage(ctx context.Context, dst, src *colour.Image, r image.Rectangle, workers int) error {
	for i, to := range []*colour.Plane{&dst.R, &dst.G, &dst.B} {
		if err := cut(ctx, to, [...]colour.Plane{src.R, src.G, src.B}[i], r, workers); err != nil {
			return err
		}
	}
	return nil
}
