package staging

import (
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/scene"
)

// What masks that follow are worth on shots of the scene. HALOCLINE_FOLLOW=1-5+11-15,72,640 takes
// 72 frames of 640 pixels' width of seeds 1 to 5 and 11 to 15: minutes each, less with -short.

// A shotOrder says which shots are wanted.
type shotOrder struct {
	seeds        []int
	count, width int
}

func shotOrderOf(text string) (o shotOrder, err error) {
	wrong := fmt.Errorf("HALOCLINE_FOLLOW is %q, want such as 1-5+11-15,72,640", text)
	parts := strings.Split(text, ",")
	if len(parts) != 3 {
		return o, wrong
	}
	var failed [2]error
	o.count, failed[0] = strconv.Atoi(parts[1])
	o.width, failed[1] = strconv.Atoi(parts[2])
	if failed[0] != nil || failed[1] != nil {
		return o, wrong
	}
	for _, some := range strings.Split(parts[0], "+") {
		from, to, several := strings.Cut(some, "-")
		if !several {
			to = from
		}
		first, err := strconv.Atoi(from)
		if err != nil {
			return o, wrong
		}
		last, err := strconv.Atoi(to)
		if err != nil {
			return o, wrong
		}
		for seed := first; seed <= last; seed++ {
			o.seeds = append(o.seeds, seed)
		}
	}
	return o, nil
}

func TestShotOrder(t *testing.T) {
	o, err := shotOrderOf("1-3+11,72,640")
	require.NoError(t, err)
	assert.Equal(t, shotOrder{seeds: []int{1, 2, 3, 11}, count: 72, width: 640}, o)
	for _, text := range []string{"3,25", "a,25,640", "1-,25,640", "1,x,640", "1,25,"} {
		_, err := shotOrderOf(text)
		assert.ErrorContains(t, err, text)
	}
}

// shotsAskedFor calls test with a trial on each shot that HALOCLINE_FOLLOW names.
func shotsAskedFor(t *testing.T, without scene.Effects, test func(t *testing.T, seed int, r *trial)) {
	t.Helper()
	text := os.Getenv("HALOCLINE_FOLLOW")
	if text == "" {
		t.Skip("HALOCLINE_FOLLOW not set")
	}
	o, err := shotOrderOf(text)
	require.NoError(t, err)
	for _, seed := range o.seeds {
		test(t, seed, trialOf(stripOf(t, seed, o.width, o.count, without)))
	}
}
