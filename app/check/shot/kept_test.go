package shot

import (
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
)

// A shelf keeps data in memory.
type shelf struct {
	mu   sync.Mutex
	data map[string][]byte
}

func (s *shelf) Load(digest string) ([]byte, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	data, has := s.data[digest]
	return data, has
}

func (s *shelf) Save(digest string, data []byte) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.data[digest] = data
}

// A filedReel is a reel whose frames are said to be in files of a folder.
type filedReel struct {
	*reel
	folder string
}

func (r filedReel) Path(n int) string { return filepath.Join(r.folder, fmt.Sprint(n)) }

// keptShot is a shot with all that a frame can have figures of, whose figures are kept.
func keptShot(t *testing.T) (*Shot, filedReel) {
	r := filedReel{&reel{w: 200, h: 120, left: func(n int) int { return 49 + n }, sigma: 0.01}, t.TempDir()}
	s := r.shot(t, 4, map[int][]mask.Point{1: rectangle(38, 18, 90, 102)})
	s.Settings.Masks[0].Search = 12
	s.Settings.Trial.Slope[0].Fix(1.5)
	for _, n := range s.Frames {
		require.NoError(t, os.WriteFile(r.Path(n), []byte("x"), 0o600))
	}
	s.Source, s.Figures = r, &shelf{data: map[string][]byte{}}
	return s, r
}

// Figures that were kept are those that were worked out, to the last bit, and nothing is read for
// them.
func TestKeptFiguresAreTheSame(t *testing.T) {
	s, r := keptShot(t)
	s.Carry = true
	want := judgedFrames(t, s)
	require.NotEmpty(t, want[2].Crossings)
	require.NotNil(t, want[2].Seam)
	require.NotEmpty(t, want[2].maskSums)
	reads := r.reads.Load()
	assert.Equal(t, want, judgedFrames(t, s))
	s.Carry = false
	plain := judgedFrames(t, s)
	assert.Equal(t, reads, r.reads.Load(), "nothing is read")
	for n, f := range plain {
		assert.Nil(t, f.CarriedChange)
		assert.Equal(t, s.Key(n), f.key)
	}
	s.Figures = nil
	assert.Equal(t, judgedFrames(t, s), plain, "figures with the carried change serve without it")
}

// After an edit, or where a file has another size, frames are judged anew; so are those whose
// kept figures cannot be read, and those that could not be judged.
func TestFiguresThatDoNotStand(t *testing.T) {
	s, r := keptShot(t)
	r.broken = 3
	judgedFrames(t, s)
	shelf := s.Figures.(*shelf)
	assert.Len(t, shelf.data, 3)
	again := func() int {
		before := r.reads.Load()
		judgedFrames(t, s)
		return int(r.reads.Load() - before)
	}
	assert.Positive(t, again(), "frame 3")
	r.broken = 0
	again()
	assert.Zero(t, again())
	s.Settings.Edge.Grow.Fix(1)
	assert.Positive(t, again())
	assert.Zero(t, again())
	require.NoError(t, os.WriteFile(r.Path(2), []byte("another"), 0o600))
	assert.Positive(t, again())
	for digest := range shelf.data {
		shelf.data[digest] = []byte("{")
	}
	assert.Positive(t, again())
	require.NoError(t, os.Remove(r.Path(4)))
	assert.Positive(t, again(), "a file that is gone")
}
