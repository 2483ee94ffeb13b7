package look

import (
	"sync/atomic"
	"testing"
	"time"

	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
)

// A hint that was on its way as the pointer left is called off once it has come;
// one that came because the pointer is back stays.
func TestAHintThatComesLateGoesToo(t *testing.T) {
	test.NewTempApp(t)
	var gone, back atomic.Int32
	HideHint(func() { gone.Add(1) }, func() bool { return false })
	HideHint(func() { back.Add(1) }, func() bool { return true })
	assert.Equal(t, []int32{1, 1}, []int32{gone.Load(), back.Load()}, "both at once")
	assert.Eventually(t, func() bool { return gone.Load() == 2 }, 10*time.Second, time.Millisecond)
	time.Sleep(lateHint / 2)
	assert.EqualValues(t, 1, back.Load())
}
