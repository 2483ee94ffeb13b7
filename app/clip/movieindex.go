package clip

import (
	"bufio"
	"bytes"
	"context"
	"math"
	"slices"
	"strconv"
	"strings"
)

// A movieIndex says when each frame is shown and where decoding can begin.
type movieIndex struct {
	base [2]int  // seconds of a tick, as a fraction
	pts  []int64 // ticks, ascending; nil where the movie has no usable ones
	keys []int   // frames that decoding can begin at, ascending; 0 is always one
	n    int
	// unseen is how many pictures more an edit list leaves out.
	unseen int
	cut    bool // the file ends between pictures that depend on each other
}

// indexOf reads the list of a movie's packets, which decodes nothing; of a large
// file its tables, where it has some.
func indexOf(ctx context.Context, path string, s *probedStream, file *probedFile, size int64) (*movieIndex, error) {
	if size > listedAbove && strings.Contains(file.Format.Name, "mov") {
		if packets, ok := boxedPackets(ctx, path, s, microseconds(file.Format.Duration)); ok {
			return indexOfPackets(ctx, path, s, packets)
		}
	}
	out, err := probe(ctx, path, "-select_streams", strconv.Itoa(s.Index), "-show_entries", "packet=pts,dts,flags", "-of", "csv=p=0")
	if err != nil {
		return nil, err
	}
	return indexOfPackets(ctx, path, s, packetsOf(out, s))
}

// indexOfPackets sorts packets, which it keeps, by the time they are shown at.
func indexOfPackets(ctx context.Context, path string, s *probedStream, packets []packet) (*movieIndex, error) {
	packets = fromFirstKey(packets)
	stored := len(packets)
	packets = slices.DeleteFunc(packets, func(p packet) bool { return p.unseen })
	x := &movieIndex{base: fraction(s.TimeBase), n: len(packets), unseen: stored - len(packets)}
	if x.n == 0 {
		return nil, &Error{path, "a movie without a picture", "at least one", ErrDamaged, nil}
	}
	slices.SortStableFunc(packets, func(a, b packet) int { return int(min(max(a.pts-b.pts, -1), 1)) })
	for i, p := range packets {
		if p.pts == noTime || i > 0 && p.pts == packets[i-1].pts || x.base[0] == 0 {
			return countedIndex(ctx, path, s, x)
		}
		x.pts = append(x.pts, p.pts)
		if i == 0 || p.key {
			x.keys = append(x.keys, i)
		}
	}
	x.endAtHole(s, packets)
	return x, nil
}

// fromFirstKey leaves out what a recording that begins amid dependent pictures has
// before the first that can be decoded.
func fromFirstKey(packets []packet) []packet {
	if i := slices.IndexFunc(packets, func(p packet) bool { return p.key }); i >= 0 && packets[i].pts != noTime {
		first := packets[i].pts
		packets = slices.DeleteFunc(packets[i:], func(p packet) bool { return p.pts != noTime && p.pts < first })
	}
	return packets
}

type packet struct {
	pts, dts int64 // when it is shown, and when it must be decoded
	key      bool
	unseen   bool // an edit list leaves the picture out; others may depend on it
}

// endAtHole leaves out the last frames of a file that was cut where some are
// missing between them, which come later in the file than those they precede:
// their numbers would be wrong. Nothing that is missing is shown before the last
// packet's decoding time.
func (x *movieIndex) endAtHole(s *probedStream, packets []packet) {
	var last int64 = noTime
	for _, p := range packets {
		last = max(last, p.dts)
	}
	rate := fraction(s.Rate)
	if last == noTime || rate[0] == 0 {
		return
	}
	between := x.frameTicks(rate)
	for i := x.n - 1; i > 0 && x.pts[i] > last; i-- {
		whole := movieIndex{base: x.base, pts: x.pts[:i]}
		if float64(x.pts[i]-x.pts[i-1]) > 1.5*between && whole.isConstant(rate) {
			x.n, x.pts, x.cut = i, x.pts[:i], true
			x.keys = slices.DeleteFunc(x.keys, func(k int) bool { return k >= i })
		}
	}
}

const noTime = math.MinInt64

// packetsOf reads lines of presentation time, decoding time and flags, such as
// "512,0,K_"; packets whose pictures an edit list leaves out have a D.
func packetsOf(out []byte, s *probedStream) (packets []packet) {
	lines := bufio.NewScanner(bytes.NewReader(out))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		fields := strings.Split(lines.Text(), ",")
		if len(fields) < 3 {
			continue
		}
		p := packet{ticks(fields[0]), ticks(fields[1]), strings.HasPrefix(fields[2], "K"), strings.Contains(fields[2], "D")}
		if p.pts == noTime && everyFrameAKey[s.Codec] {
			p.pts = p.dts // they are shown in the order they are stored in
		}
		packets = append(packets, p)
	}
	return packets
}

// everyFrameAKey are codecs without pictures that depend on others.
var everyFrameAKey = map[string]bool{
	"mjpeg": true, "prores": true, "dnxhd": true, "rawvideo": true, "v210": true, "png": true, "huffyuv": true, "ffvhuff": true, "utvideo": true,
}

func ticks(s string) int64 {
	n, err := strconv.ParseInt(s, 10, 64)
	if err != nil {
		return noTime
	}
	return n
}

// countedIndex serves movies whose packets do not tell when they are shown: their
// frames are decoded once, to count them.
func countedIndex(ctx context.Context, path string, s *probedStream, x *movieIndex) (*movieIndex, error) {
	out, err := probe(ctx, path, "-select_streams", strconv.Itoa(s.Index), "-count_frames", "-show_entries", "stream=nb_read_frames", "-of", "default=nw=1:nk=1")
	if err != nil {
		return nil, err
	}
	first, _, _ := strings.Cut(strings.TrimSpace(string(out)), "\n")
	x.n, err = strconv.Atoi(strings.TrimSpace(first))
	if err != nil || x.n < 1 {
		return nil, &Error{path, "a movie without a picture that can be decoded", "at least one", ErrDamaged, err}
	}
	x.pts, x.keys = nil, []int{0}
	return x, nil
}

// key returns the frame that decoding must begin at for frame n.
func (x *movieIndex) key(n int) int {
	i, ok := slices.BinarySearch(x.keys, n)
	if !ok {
		i--
	}
	return x.keys[i]
}

// frameAt returns the frame that is shown at a time; ok is false for none.
func (x *movieIndex) frameAt(pts int64) (int, bool) { return slices.BinarySearch(x.pts, pts) }

// seconds returns the time of a tick.
func (x *movieIndex) seconds(ticks float64) float64 {
	return ticks * float64(x.base[0]) / float64(x.base[1])
}

// between returns the microseconds midway between frame n and the one before:
// from there on n is the first frame, whatever digits are lost on the way.
func (x *movieIndex) between(n int) int64 {
	return int64(math.Round(1e6 * x.seconds(float64(x.pts[n-1])+float64(x.pts[n]-x.pts[n-1])/2)))
}

// rate returns frames per second and whether they are constant: every frame
// within a tick of where they put it, since ticks may be coarser than frames.
func (x *movieIndex) rate(s *probedStream) (rate [2]int, constant bool) {
	claims := [][2]int{fraction(s.Rate), fraction(s.AverageRate)}
	for _, r := range claims {
		if r[0] > 0 && x.isConstant(r) {
			return r, true
		}
	}
	if x.pts == nil || x.n < 2 {
		for _, r := range claims {
			if r[0] > 0 {
				return r, true
			}
		}
		return [2]int{25, 1}, true
	}
	mean := float64(x.n-1) / x.seconds(float64(x.pts[x.n-1]-x.pts[0]))
	return thousandths(mean), false
}

// isConstant reports whether every frame is where a rate puts it.
func (x *movieIndex) isConstant(rate [2]int) bool {
	if len(x.pts) < 2 {
		return false
	}
	between := x.frameTicks(rate)
	for i, p := range x.pts {
		if math.Abs(float64(p-x.pts[0])-float64(i)*between) > 1.001 {
			return false
		}
	}
	return true
}

// frameTicks returns the ticks from frame to frame.
func (x *movieIndex) frameTicks(rate [2]int) float64 {
	return float64(rate[1]) * float64(x.base[1]) / float64(rate[0]) / float64(x.base[0])
}

func thousandths(v float64) [2]int {
	a, b := int(math.Round(1000*min(max(v, 0.001), 1e5))), 1000
	for _, p := range []int{2, 5} {
		for a%p == 0 && b%p == 0 {
			a, b = a/p, b/p
		}
	}
	return [2]int{a, b}
}
