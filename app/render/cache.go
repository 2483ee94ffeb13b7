package render

import (
	"container/list"
	"sync"
)

// A cache keeps results by what they depend on. When they take more than limit
// bytes it forgets those not used for longest, but never the newest.
type cache struct {
	mu    sync.Mutex
	limit int
	bytes int
	order *list.List // of *kept, the last used in front
	byKey map[string]*list.Element
	round int // rises with forget
}

type kept struct {
	key   string
	value any
	bytes int
	round int // in which it was last used
}

func newCache(limit int) *cache {
	return &cache{limit: limit, order: list.New(), byKey: map[string]*list.Element{}}
}

func (c *cache) get(key string) (any, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	e, ok := c.byKey[key]
	if !ok {
		return nil, false
	}
	c.order.MoveToFront(e)
	e.Value.(*kept).round = c.round
	return e.Value.(*kept).value, true
}

func (c *cache) put(key string, value any, bytes int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if e, ok := c.byKey[key]; ok { // two requests made the same thing at once
		c.drop(e)
	}
	c.byKey[key] = c.order.PushFront(&kept{key, value, bytes, c.round})
	c.bytes += bytes
	for c.bytes > c.limit && c.order.Len() > 1 {
		c.drop(c.order.Back())
	}
}

func (c *cache) drop(e *list.Element) {
	k := c.order.Remove(e).(*kept)
	delete(c.byKey, k.key)
	c.bytes -= k.bytes
}

// forget drops all but those that stays names and that were used since it was
// last called.
func (c *cache) forget(stays func(key string) bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for e := c.order.Front(); e != nil; {
		next := e.Next()
		if k := e.Value.(*kept); k.round < c.round || !stays(k.key) {
			c.drop(e)
		}
		e = next
	}
	c.round++
}
