package desk

import (
	"context"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/work"
)

// BenchmarkPressedDab moves a pressed dab on the sample, whose matte has seven dabs.
// A round is a move and what it brings: hand-us is what the desk's goroutine spends on
// it, numbers-ms-p95 how long after the move the numbers of the pick are known.
func BenchmarkPressedDab(b *testing.B) {
	wk, _, err := work.Sample(context.Background(), b.TempDir())
	require.NoError(b, err)
	posts := make(chan func(), 100)
	previews := 0
	none := func() {}
	d := NewDesk(Listener{
		Changed: none, Sought: none, Did: func(string) {}, Report: func(Problem) {}, Note: func(string) {},
		Post: func(do func()) { posts <- do },
		Learned: func(n News) {
			if n == NewPreview {
				previews++
			}
		},
	})
	b.Cleanup(d.Stop)
	d.Open(wk, study.NewSession(wk.Study, ""))
	d.EditMatte("Fitted", func(m *study.Matte) error { m.Pick.Fitted = true; return nil })
	d.Refresh()
	for !d.Fresh() {
		(<-posts)()
	}
	var hand time.Duration
	var numbers []time.Duration
	x := 300.0
	for b.Loop() {
		x = 300 + float64(int(x-297)%600)
		begun, before := time.Now(), previews
		d.PressDab(study.Dab{Frame: d.Frame, X: x, Y: 640, Radius: 10, Kind: study.Drop})
		hand += time.Since(begun)
		for previews == before {
			(<-posts)()
		}
		numbers = append(numbers, time.Since(begun))
	}
	slices.Sort(numbers)
	b.ReportMetric(float64(hand.Microseconds())/float64(len(numbers)), "hand-us/op")
	b.ReportMetric(float64(numbers[len(numbers)*95/100].Microseconds())/1000, "numbers-ms-p95")
}
