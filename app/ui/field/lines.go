package field

import (
	"math"

	"halocline/selection"
)

// How near the pointer must be and how far handles stand apart, in Fyne's units.
const (
	lineReach   = 5
	lineAlone   = 12 // lines nearer to each other are grabbed by their handles
	spreadSmall = 11
	spreadLarge = 14 // where the plots are high
	handleWide  = 11 // what the pointer hits, across the line
	handleLong  = 18 // and along it
	cornerReach = 7
)

// A view is what geometry depends on besides the pick.
type view struct {
	layout
	window hueWindow
	top    float64 // of the vertical axis of the field
}

// A mark is a line as it stands on the screen.
type mark struct {
	channel selection.Channel
	end     end
	pos     float64 // x of a hue line, y of the others; clamped to its plot
	handle  float64 // the handle's middle on the same axis
	shown   bool    // its channel is on, and the line is in the window
	alone   bool    // far enough from its neighbours to be grabbed itself
}

// A placed pick is a pick as it stands on the screen.
type placed struct {
	view
	pick  selection.Pick
	marks [selection.Channels][4]mark // by channel and end
	full  []box                       // the rectangle of full weight, once for every turn that is in view; not cut
	outer []box                       // and where the fades end
}

// place puts a pick on the screen.
func place(v view, p selection.Pick) placed {
	out := placed{view: v, pick: p}
	for c := range selection.Channels {
		for e := fadeBefore; e <= fadeAfter; e++ {
			out.marks[c][e] = v.mark(p, c, e)
		}
		v.spread(&out.marks[c], c)
	}
	for _, turn := range v.turns(p.Limits[selection.Hue]) {
		out.full = append(out.full, out.box(from, to, turn))
		out.outer = append(out.outer, out.box(fadeBefore, fadeAfter, turn))
	}
	return out
}

// axis returns where a channel's lines lie: the pixels of its lowest and its
// highest value.
func (v view) axis(c selection.Channel) (low, high float64) {
	switch c {
	case selection.Hue:
		return v.plot.x0, v.plot.x1
	case selection.Sat:
		return v.plot.y1, v.plot.y0
	}
	return v.column.y1, v.column.y0
}

// scaleOf returns the value at the upper end of a channel that is no circle.
func (v view) scaleOf(m selection.Model, c selection.Channel) float64 {
	if c == selection.Sat {
		return v.top
	}
	return c.FullScale(m)
}

// perPixel returns how a channel's value changes with the screen's x (hue) or y.
func (v view) perPixel(m selection.Model, c selection.Channel) float64 {
	low, high := v.axis(c)
	if c == selection.Hue {
		return v.window.width / (high - low)
	}
	return v.scaleOf(m, c) / (high - low)
}

// pixel returns where a value of a channel stands; a hue at the turn given.
func (v view) pixel(m selection.Model, c selection.Channel, value float64) float64 {
	low, high := v.axis(c)
	share := value / v.scaleOf(m, c)
	if c == selection.Hue {
		share = v.window.share(value)
	}
	return low + share*(high-low)
}

// mark places one line. A hue line stands at the turn nearest to the middle.
func (v view) mark(p selection.Pick, c selection.Channel, e end) mark {
	m := mark{channel: c, end: e, shown: !p.Limits[c].Off}
	value := lineAt(p.Limits[c].Range, c, e)
	low, high := v.axis(c)
	if c != selection.Hue {
		m.pos = between(v.pixel(p.Model, c, value), high, low)
		return m
	}
	m.pos = v.pixel(p.Model, c, v.hueTurn(p.Limits[c].Range, value))
	m.shown = m.shown && m.pos >= low-0.5 && m.pos <= high+0.5
	return m
}

// hueTurn returns a line's hue where it goes with the turn of the range nearest
// to the middle, or else, if that is out of view, at its own nearest turn.
func (v view) hueTurn(r selection.Range, value float64) float64 {
	mid := r.From + r.Span()/2
	hue := value + v.window.near(mid) - mid
	if s := v.window.share(hue); s >= 0 && s <= 1 {
		return hue
	}
	return v.window.near(value)
}

// spread finds places for the handles of a channel's lines.
func (v view) spread(marks *[4]mark, c selection.Channel) {
	apart := v.dp(spreadSmall)
	if v.plot.h() >= v.dp(maxPlot) {
		apart = v.dp(spreadLarge)
	}
	low, high := v.axis(c)
	var shown []*mark
	for i := range marks {
		m := &marks[i]
		m.handle = m.pos
		if m.shown {
			shown = append(shown, m)
		}
	}
	sortMarks(shown, c == selection.Hue)
	places := make([]float64, len(shown))
	for i, m := range shown {
		places[i] = m.pos
		m.alone = (i == 0 || math.Abs(m.pos-shown[i-1].pos) >= v.dp(lineAlone)) &&
			(i == len(shown)-1 || math.Abs(shown[i+1].pos-m.pos) >= v.dp(lineAlone))
	}
	lo, hi := min(low, high), max(low, high)
	if c == selection.Hue {
		lo += v.dp(5) // the widget ends there
	}
	spreadOut(places, apart, lo, hi)
	for i, m := range shown {
		m.handle = places[i]
	}
}

// sortMarks puts lines in order of the screen; of two at one place, values rise
// to the right and upward. Insertion: there are four, nearly in order.
func sortMarks(marks []*mark, rightward bool) {
	before := func(a, b *mark) bool {
		if a.pos == b.pos {
			return (a.end < b.end) == rightward
		}
		return a.pos < b.pos
	}
	for i := range marks {
		for j := i; j > 0 && before(marks[j], marks[j-1]); j-- {
			marks[j], marks[j-1] = marks[j-1], marks[j]
		}
	}
}

// spreadOut moves rising places so that they are at least apart, as little as
// possible in the sense of least squares, within [lo,hi] where that suffices: by
// pooling neighbours that would come too near, as in isotonic regression.
func spreadOut(places []float64, apart, lo, hi float64) {
	type pool struct {
		mean float64 // of place minus index times apart
		n    int
	}
	var pools []pool
	for i, p := range places {
		next := pool{p - float64(i)*apart, 1}
		for len(pools) > 0 && pools[len(pools)-1].mean > next.mean {
			last := pools[len(pools)-1]
			n := last.n + next.n
			next = pool{(last.mean*float64(last.n) + next.mean*float64(next.n)) / float64(n), n}
			pools = pools[:len(pools)-1]
		}
		pools = append(pools, next)
	}
	last := hi - float64(len(places)-1)*apart
	i := 0
	for _, p := range pools {
		for range p.n {
			places[i] = between(p.mean, lo, max(lo, last)) + float64(i)*apart
			i++
		}
	}
}

// turns returns by how many degrees a hue range must be turned to be in view:
// one value for each time. Where hue is off it is once.
func (v view) turns(l selection.Limit) (turns []float64) {
	if l.Off {
		return []float64{0}
	}
	low, high := lineAt(l.Range, selection.Hue, fadeBefore), lineAt(l.Range, selection.Hue, fadeAfter)
	first := math.Ceil((v.window.at(0) - high) / 360)
	for turn := first * 360; low+turn <= v.window.at(1); turn += 360 {
		turns = append(turns, turn)
	}
	return turns
}

// box returns the rectangle between two lines of hue and saturation. Without a
// limit it runs full.
func (p *placed) box(low, high end, turn float64) box {
	b := p.plot
	if l := p.pick.Limits[selection.Hue]; !l.Off {
		b.x0 = p.pixel(p.pick.Model, selection.Hue, lineAt(l.Range, selection.Hue, low)+turn)
		b.x1 = p.pixel(p.pick.Model, selection.Hue, lineAt(l.Range, selection.Hue, high)+turn)
	}
	if !p.pick.Limits[selection.Sat].Off {
		b.y0, b.y1 = p.marks[selection.Sat][high].pos, p.marks[selection.Sat][low].pos
	}
	return b
}

// handleBox returns what the pointer hits of a handle.
func (p *placed) handleBox(m mark) box {
	x, y := p.handleAt(m)
	w, h := p.dp(handleLong), p.dp(handleWide)
	if m.channel == selection.Hue {
		w, h = h, w
	}
	return box{x - w/2, y - h/2, x + w/2, y + h/2}
}

// handleAt returns the middle of a handle.
func (p *placed) handleAt(m mark) (x, y float64) {
	switch m.channel {
	case selection.Hue:
		return m.handle, p.plot.y0 - p.dp(10)
	case selection.Sat:
		return p.plot.x1 + p.dp(10), m.handle
	}
	return p.column.x1 + p.dp(9), m.handle
}

// hit returns what is at a point of the screen.
func (p *placed) hit(x, y float64) part {
	for _, find := range []func(x, y float64) part{p.hitHandle, p.hitCorner, p.hitLine, p.hitMiddle} {
		if g := find(x, y); g.kind != nothing {
			return g
		}
	}
	if x >= p.ribbon.x0 && x < p.ribbon.x1 && y >= p.plot.y1 {
		return part{kind: theRibbon}
	}
	return part{}
}

func (p *placed) hitHandle(x, y float64) part {
	best, bestOff := part{}, math.Inf(1)
	for c := range p.marks {
		for _, m := range p.marks[c] {
			off := math.Abs(m.handle - y)
			if m.channel == selection.Hue {
				off = math.Abs(m.handle - x)
			}
			if m.shown && off < bestOff && p.handleBox(m).contains(x, y) {
				best, bestOff = part{kind: aLine, channel: m.channel, end: m.end}, off
			}
		}
	}
	return best
}

// hasCorners reports whether a rectangle shows elbows: both channels are on, and
// there is room between them.
func (p *placed) hasCorners(b box) bool {
	l := &p.pick.Limits
	return !l[selection.Hue].Off && !l[selection.Sat].Off && b.w() >= p.dp(lineAlone) && b.h() >= p.dp(lineAlone)
}

func (p *placed) hitCorner(x, y float64) part {
	if !p.plot.contains(x, y) {
		return part{}
	}
	reach := p.dp(cornerReach)
	best, bestOff := part{}, math.Inf(1)
	for _, b := range p.full {
		if !p.hasCorners(b) {
			continue
		}
		for _, c := range cornersOf(b) {
			dx, dy := math.Abs(x-c.x), math.Abs(y-c.y)
			if off := dx + dy; dx <= reach && dy <= reach && off < bestOff {
				best, bestOff = part{kind: aCorner, end: c.end, level: c.level}, off
			}
		}
	}
	return best
}

// A corner is a corner of a rectangle: where it is, its lines, and whither its
// elbow's arms go.
type corner struct {
	x, y       float64
	end, level end
	dx, dy     float64
}

func cornersOf(b box) [4]corner {
	return [4]corner{
		{b.x0, b.y0, from, to, 1, 1},
		{b.x1, b.y0, to, to, -1, 1},
		{b.x0, b.y1, from, from, 1, -1},
		{b.x1, b.y1, to, from, -1, -1},
	}
}

func (p *placed) hitLine(x, y float64) part {
	best, bestOff := part{}, math.Nextafter(p.dp(lineReach), math.Inf(1))
	for c := range p.marks {
		for _, m := range p.marks[c] {
			off := math.Abs(m.pos - y)
			if m.channel == selection.Hue {
				off = math.Abs(m.pos - x)
			}
			if m.shown && m.alone && off < bestOff && p.along(m).contains(x, y) {
				best, bestOff = part{kind: aLine, channel: m.channel, end: m.end}, off
			}
		}
	}
	return best
}

// along returns where a line can be grabbed: beside the whole of what is drawn.
// A hue line has its leader besides, up to the plot's top.
func (p *placed) along(m mark) box {
	reach := p.dp(lineReach)
	if m.channel == selection.Light {
		return box{p.column.x0, p.column.y0, p.column.x1, p.column.y1}.grown(reach)
	}
	b := box{p.plot.x1, p.plot.y1, p.plot.x0, p.plot.y0}
	for i, outer := range p.outer {
		if m.end == from || m.end == to {
			outer = p.full[i]
		}
		outer = outer.cut(p.plot)
		b = box{min(b.x0, outer.x0), min(b.y0, outer.y0), max(b.x1, outer.x1), max(b.y1, outer.y1)}
	}
	if m.channel == selection.Hue {
		return box{p.plot.x0, p.plot.y0, p.plot.x1, b.y1}.grown(reach)
	}
	return b.grown(reach)
}

func (p *placed) hitMiddle(x, y float64) part {
	limits := &p.pick.Limits
	if p.plot.contains(x, y) && !(limits[selection.Hue].Off && limits[selection.Sat].Off) {
		for _, b := range p.full {
			if b.contains(x, y) {
				return part{kind: aMiddle}
			}
		}
	}
	light := p.marks[selection.Light]
	if p.column.contains(x, y) && !limits[selection.Light].Off && y >= light[to].pos && y <= light[from].pos {
		return part{kind: aMiddle, channel: selection.Light}
	}
	return part{}
}

// moved returns what a drag by so many screen pixels means for a part: the
// change of each channel's value. A line that is drawn at the end of its plot
// because its value lies beyond is taken from where it is drawn.
func (p *placed) moved(g part, dx, dy float64) (delta selection.Point) {
	m := p.pick.Model
	delta[selection.Hue] = dx * p.perPixel(m, selection.Hue)
	for c := selection.Sat; c < selection.Channels; c++ {
		if delta[c] = dy * p.perPixel(m, c); dy == 0 || g.kind == aMiddle {
			continue
		}
		e := g.end
		if g.kind == aCorner {
			e = g.level
		}
		value := lineAt(p.pick.Limits[c].Range, c, e)
		delta[c] += between(value, 0, p.scaleOf(m, c)) - value
	}
	return delta
}
