package colour

import "sync"

// Pool keeps buffers between uses, so that bands worked on in parallel do
// not allocate again and again. The zero value is empty and ready.
type Pool[T any] struct {
	mu   sync.Mutex
	free []*T
}

// Take returns a buffer of the pool, or a zero one.
func (s *Pool[T]) Take() *T {
	s.mu.Lock()
	defer s.mu.Unlock()
	n := len(s.free)
	if n == 0 {
		return new(T)
	}
	buffer := s.free[n-1]
	s.free = s.free[:n-1]
	return buffer
}

// Give hands a buffer back.
func (s *Pool[T]) Give(buffer *T) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.free = append(s.free, buffer)
}

// Resized returns a slice of n elements that are undefined, in old's memory
// where that suffices.
func Resized[T any](old []T, n int) []T {
	if cap(old) < n {
		return make([]T, n)
	}
	return old[:n]
}

// ResizedRows returns n slices of w elements that are undefined, in old's memory
// where that suffices.
func ResizedRows[T any](old [][]T, n, w int) [][]T {
	for len(old) < n {
		old = append(old, nil)
	}
	for i := range old[:n] {
		old[i] = Resized(old[i], w)
	}
	return old
}
