package clip

import "container/list"

// A rawFrame is a frame as its decoder gave it.
type rawFrame struct {
	frame int
	data  []byte
	users int // who reads data now: it is not given to another frame meanwhile
}

// rawFrames keeps raw frames up to limit bytes, those used last. The one who
// calls has the lock.
type rawFrames struct {
	limit, bytes int
	order        *list.List // of *rawFrame, the last used in front
	at           map[int]*list.Element
	pool         [][]byte // memory of frames that left
}

// poolSize is how many buffers are kept for reuse.
const poolSize = 3

func newRawFrames(limit int) *rawFrames {
	return &rawFrames{limit: limit, order: list.New(), at: map[int]*list.Element{}}
}

// take returns a frame that is there and marks it used; give hands it back.
func (c *rawFrames) take(frame int) *rawFrame {
	e, ok := c.at[frame]
	if !ok {
		return nil
	}
	c.order.MoveToFront(e)
	f := e.Value.(*rawFrame)
	f.users++
	return f
}

func (c *rawFrames) give(f *rawFrame) {
	f.users--
	if e, ok := c.at[f.frame]; f.users == 0 && (!ok || e.Value != any(f)) {
		c.reuse(f.data) // it left while it was read
	}
}

// put keeps a frame, and lets others go until limit is kept; at least f stays.
func (c *rawFrames) put(f *rawFrame) {
	if e, ok := c.at[f.frame]; ok {
		c.drop(e)
	}
	c.at[f.frame] = c.order.PushFront(f)
	c.bytes += len(f.data)
	for c.bytes > c.limit && c.order.Len() > 1 {
		c.drop(c.order.Back())
	}
}

func (c *rawFrames) drop(e *list.Element) {
	f := c.order.Remove(e).(*rawFrame)
	delete(c.at, f.frame)
	c.bytes -= len(f.data)
	if f.users == 0 {
		c.reuse(f.data)
	}
}

func (c *rawFrames) reuse(b []byte) {
	if len(c.pool) < poolSize {
		c.pool = append(c.pool, b)
	}
}

// buffer returns memory for a frame.
func (c *rawFrames) buffer(n int) []byte {
	if last := len(c.pool) - 1; last >= 0 {
		b := c.pool[last]
		c.pool = c.pool[:last]
		if len(b) == n {
			return b
		}
	}
	return make([]byte, n)
}

func (c *rawFrames) clear() {
	c.order.Init()
	clear(c.at)
	c.bytes, c.pool = 0, nil
}
