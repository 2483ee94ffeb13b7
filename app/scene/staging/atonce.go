package staging

import (
	"context"
	"runtime"
	"sync"
	"sync/atomic"
)

// atOnce does work for every number from first to last, on as many goroutines as
// there are processors, and returns the first error, which ends the rest.
func atOnce(ctx context.Context, first, last int, work func(ctx context.Context, n int) error) error {
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	var next atomic.Int64
	next.Store(int64(first))
	var all sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), max(last-first+1, 0)) {
		all.Go(func() {
			for n := int(next.Add(1)) - 1; n <= last && ctx.Err() == nil; n = int(next.Add(1)) - 1 {
				if err := work(ctx, n); err != nil {
					cancel(err)
				}
			}
		})
	}
	all.Wait()
	return context.Cause(ctx)
}
