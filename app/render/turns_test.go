package render

import (
	"context"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTurnsAreTakenOneAfterTheOther(t *testing.T) {
	var turns turns
	inside, most := 0, 0
	var all sync.WaitGroup
	for range 50 {
		all.Go(func() {
			done, err := turns.take(t.Context(), "edge")
			if !assert.NoError(t, err) {
				return
			}
			defer done()
			inside++
			most = max(most, inside)
			inside--
		})
	}
	all.Wait()
	assert.Equal(t, 1, most)
	assert.Empty(t, turns.taken)
}

func TestATurnOfAnotherKeyIsFree(t *testing.T) {
	var turns turns
	done, err := turns.take(t.Context(), "a")
	require.NoError(t, err)
	other, err := turns.take(t.Context(), "b")
	require.NoError(t, err)
	other()
	ended, end := context.WithCancel(t.Context())
	end()
	_, err = turns.take(ended, "a")
	assert.ErrorIs(t, err, context.Canceled)
	done()
	again, err := turns.take(ended, "a")
	require.NoError(t, err)
	again()
}
