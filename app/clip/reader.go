package clip

import (
	"context"
	"fmt"
	"os"
	"slices"
	"sync"
)

// DefaultRaw is the bytes of raw frames that a movie keeps: 120 of 1080p with
// 8 bits and 4:2:0, 30 of 4K.
const DefaultRaw = 384 << 20

const (
	// mostPipes is how many decoders run at once: one for each place where
	// somebody reads on. A third place is one that was left a moment ago.
	mostPipes = 3
	// mostAhead is how many frames are decoded before they are asked for: a third
	// of a second, more than it takes to show one.
	mostAhead = 8
	// startCost is what starting a decoder costs, in frames decoded: 50 ms.
	startCost = 12
	// lead is how many frames before the one asked for are kept as well when a
	// decoder starts: several who ask for neighbours at once come in any order.
	lead = 3
	// backReach is how far before the last one asked for a frame may lie to count
	// as going backward.
	backReach = 16
	// mostTries is how often a frame is tried for, each time from further back.
	mostTries = 3
)

// A reader gives a movie's raw frames to any number of goroutines. It keeps
// those used last, and decoders that wait where somebody read on.
type reader struct {
	movie *movie
	ahead int // frames decoded before they are asked for

	mu     sync.Mutex
	moved  sync.Cond // a cursor may go on, or must end
	kept   *rawFrames
	cursor []*cursor
	queue  []*request // those that no cursor can serve yet
	closed bool
	done   sync.WaitGroup // of cursors
}

// A request is for one frame.
type request struct {
	frame, tries int
	backward     bool          // the one before was a little later
	ready        chan struct{} // closed when raw or err is there
	raw          *rawFrame
	err          error
}

// A cursor is a decoder on its way through the movie.
type cursor struct {
	pipe     *pipe
	first    int // what is before is not kept
	next     int // the frame that comes next
	until    int // decode as far as this without being asked
	asked    int // the frame asked for last where this one reads
	began    bool
	leaving  bool
	requests []*request
}

func newReader(m *movie, limit int) *reader {
	r := &reader{movie: m, kept: newRawFrames(limit)}
	r.moved.L = &r.mu
	r.ahead = min(max(limit/4/m.frameBytes, 1), mostAhead)
	return r
}

// frame returns raw frame n, which exists. Hand it back to release.
func (r *reader) frame(ctx context.Context, n int) (*rawFrame, error) {
	r.mu.Lock()
	if r.closed {
		r.mu.Unlock()
		return nil, &Error{r.movie.path, "the movie was closed", "an open one", ErrMissing, os.ErrClosed}
	}
	backward := r.wake(n)
	if f := r.kept.take(n); f != nil {
		r.mu.Unlock()
		return f, nil
	}
	q := &request{frame: n, backward: backward, ready: make(chan struct{})}
	r.assign(q)
	r.mu.Unlock()
	select {
	case <-q.ready:
		return q.raw, q.err
	case <-ctx.Done():
		r.cancel(q)
		return nil, ctx.Err()
	}
}

func (r *reader) release(f *rawFrame) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.kept.give(f)
}

// wake finds the decoder whose frames are read where n is asked for, and lets
// it go on ahead where that is forward; it reports whether it is backward.
func (r *reader) wake(n int) (backward bool) {
	var of *cursor
	for _, c := range r.cursor {
		if away := max(n-c.asked, c.asked-n); away <= backReach && (of == nil || away < max(n-of.asked, of.asked-n)) {
			of = c
		}
	}
	if of == nil {
		return false
	}
	backward = n < of.asked
	if !backward && of.next > n && of.next <= n+r.ahead {
		of.until = max(of.until, n+r.ahead)
		r.moved.Broadcast()
	}
	of.asked = n
	return backward
}

// assign finds or starts the decoder that brings a frame; without one free, the
// request waits.
func (r *reader) assign(q *request) {
	n := q.frame
	key := r.movie.index.key(n)
	var best *cursor
	for _, c := range r.cursor {
		if !c.leaving && c.next <= n && n-c.next <= startCost+n-key && (best == nil || c.next > best.next) {
			best = c
		}
	}
	if best != nil && q.tries == 0 {
		best.requests = append(best.requests, q)
		best.until, best.asked = max(best.until, n+r.ahead), n
		r.moved.Broadcast()
		return
	}
	if !r.makeRoom() {
		r.queue = append(r.queue, q)
		return
	}
	if err := r.start(q, key); err != nil {
		q.err = err
		close(q.ready)
	}
}

// makeRoom lets a decoder go that nobody waits for, where there are as many as
// may be; first of all those that have brought nothing yet, which are left over
// from a search that went on elsewhere.
func (r *reader) makeRoom() bool {
	for _, c := range r.cursor {
		if !c.began && len(c.requests) == 0 {
			r.dismiss(c)
		}
	}
	if len(r.cursor) < mostPipes {
		return true
	}
	for _, c := range r.cursor { // the one used longest ago is in front
		if len(c.requests) == 0 {
			r.dismiss(c)
			return true
		}
	}
	return false
}

// dismiss ends a decoder; its goroutine sees to the rest.
func (r *reader) dismiss(c *cursor) {
	c.leaving = true
	c.pipe.stop()
	r.cursor = slices.DeleteFunc(slices.Clone(r.cursor), func(o *cursor) bool { return o == c })
	r.moved.Broadcast()
}

// start starts a decoder for a request. On the way back it keeps all that must be
// decoded for the frame anyway, as much as fits.
func (r *reader) start(q *request, key int) error {
	if err := r.movie.unchanged(); err != nil {
		return err
	}
	n := q.frame
	c := &cursor{first: max(key, n-lead), until: n + r.ahead, asked: n, requests: []*request{q}}
	if q.backward {
		c.first = max(min(key, n-backReach+1), n-max(r.kept.limit/2/r.movie.frameBytes, 1)+1, 0)
		c.until = c.first // goes no further than it is asked
	}
	from := c.first
	for range q.tries { // further back: what is said to be a key frame may be none
		from = r.movie.index.key(max(r.movie.index.key(from)-1, 0))
	}
	if r.movie.index.pts == nil { // nothing says where a decoder would begin
		c.first, from = min(c.first, n), 0
	}
	var err error
	if c.pipe, err = r.movie.startPipe(from); err != nil {
		return err
	}
	c.next = from
	r.cursor = append(r.cursor, c)
	r.done.Go(func() { r.run(c) })
	return nil
}

// run takes frames from a decoder until it has none or is dismissed.
func (r *reader) run(c *cursor) {
	var err error
	for err == nil && r.wanted(c) {
		err = r.takeFrame(c)
	}
	if _, own := err.(*Error); own || err == nil {
		c.pipe.stop()
	}
	said := c.pipe.end()
	r.mu.Lock()
	defer r.mu.Unlock()
	r.cursor = slices.DeleteFunc(slices.Clone(r.cursor), func(o *cursor) bool { return o == c })
	c.leaving = true
	for _, q := range c.requests {
		r.again(q, err, said)
	}
	c.requests = nil
	r.serveQueue()
}

// wanted waits until a decoder is to go on; false where it is to end.
func (r *reader) wanted(c *cursor) bool {
	r.mu.Lock()
	defer r.mu.Unlock()
	for !c.leaving && c.next > c.until && len(c.requests) == 0 {
		r.moved.Wait()
	}
	return !c.leaving
}

// takeFrame takes one frame.
func (r *reader) takeFrame(c *cursor) error {
	m, err := c.pipe.next()
	if err != nil {
		return err
	}
	n, ok := c.next, true
	if x := r.movie.index; x.pts != nil {
		n, ok = x.frameAt(m.pts)
	}
	format, known := pixelFormatNamed(m.format)
	if !known { // how much to skip is not known
		return &Error{r.movie.path, "its pictures change to the form " + m.format, r.movie.format.name + " throughout", ErrUnsupported, nil}
	}
	same := m.width == r.movie.width && m.height == r.movie.height && format.name == r.movie.format.name
	if !ok || !same || n < c.first {
		err = c.pipe.skip(format.bytes(m.width, m.height))
		if ok && err == nil {
			r.passed(c, n, same, m)
		}
		return err
	}
	r.mu.Lock()
	b := r.kept.buffer(r.movie.frameBytes)
	r.mu.Unlock()
	if err := c.pipe.read(b); err != nil {
		return err
	}
	r.deliver(c, &rawFrame{frame: n, data: b})
	return nil
}

// passed notes that a decoder is past frame n, which is not kept: of another
// size, or before those that are wanted.
func (r *reader) passed(c *cursor, n int, same bool, m mark) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.retryUpTo(c, n)
	if !same {
		for _, q := range c.take(n) {
			q.err = &Error{r.movie.path, fmt.Sprintf("frame %d is %s pixels, %s", n, pixels(m.width, m.height), m.format),
				pixels(r.movie.width, r.movie.height) + ", " + r.movie.format.name + " as the first", ErrSize, nil}
			close(q.ready)
		}
	}
	c.began, c.next = true, n+1
}

// deliver keeps a frame and gives it to those who wait for it.
func (r *reader) deliver(c *cursor, f *rawFrame) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.retryUpTo(c, f.frame)
	for _, q := range c.take(f.frame) {
		f.users++
		q.raw = f
		close(q.ready)
	}
	c.began, c.next = true, f.frame+1
	r.kept.put(f)
	r.use(c)
	if len(c.requests) == 0 {
		r.serveQueue()
	}
}

// retryUpTo tries anew for frames that a decoder has passed without bringing them.
func (r *reader) retryUpTo(c *cursor, n int) {
	for i := c.next; i < n; i++ {
		for _, q := range c.take(i) {
			r.again(q, nil, "")
		}
	}
}

// again tries for a frame from further back, up to mostTries.
func (r *reader) again(q *request, err error, said string) {
	q.tries++
	if own, ok := err.(*Error); ok {
		q.err = own
	} else if q.tries >= mostTries {
		q.err = r.movie.noPicture(q.frame, said)
	} else if r.closed {
		q.err = &Error{r.movie.path, "the movie was closed", "an open one", ErrMissing, os.ErrClosed}
	}
	if q.err != nil {
		close(q.ready)
		return
	}
	r.assign(q)
}

// take removes the requests for frame n from a cursor's.
func (c *cursor) take(n int) (taken []*request) {
	c.requests = slices.DeleteFunc(c.requests, func(q *request) bool {
		if q.frame == n {
			taken = append(taken, q)
			return true
		}
		return false
	})
	return taken
}

// use puts a cursor behind those used longer ago.
func (r *reader) use(c *cursor) {
	if i := slices.Index(r.cursor, c); i >= 0 {
		r.cursor = append(slices.Delete(r.cursor, i, i+1), c)
	}
}

func (r *reader) serveQueue() {
	queue := r.queue
	r.queue = nil
	for _, q := range queue {
		if f := r.kept.take(q.frame); f != nil {
			q.raw = f
			close(q.ready)
			continue
		}
		r.assign(q)
	}
}

// cancel forgets a request that nobody waits for any more.
func (r *reader) cancel(q *request) {
	r.mu.Lock()
	defer r.mu.Unlock()
	same := func(o *request) bool { return o == q }
	r.queue = slices.DeleteFunc(r.queue, same)
	for _, c := range r.cursor {
		c.requests = slices.DeleteFunc(c.requests, same)
		if len(c.requests) == 0 {
			c.until = min(c.until, c.next-1)
		}
	}
	if q.raw != nil { // it came meanwhile
		r.kept.give(q.raw)
		return
	}
	r.serveQueue()
}

// close ends all decoders and returns when they are gone.
func (r *reader) close() {
	r.mu.Lock()
	r.closed = true
	for _, q := range r.queue {
		q.err = &Error{r.movie.path, "the movie was closed", "an open one", ErrMissing, os.ErrClosed}
		close(q.ready)
	}
	r.queue = nil
	for _, c := range r.cursor {
		r.dismiss(c)
	}
	r.kept.clear()
	r.mu.Unlock()
	r.done.Wait()
	r.mu.Lock()
	r.kept.clear()
	r.mu.Unlock()
}
