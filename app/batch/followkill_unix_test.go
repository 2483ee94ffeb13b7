//go:build unix

package batch

import (
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A call that follows and is killed at any moment leaves outlines with which the next one goes on;
// mattes exported with them, whole or in shards, are those of a call that was let be.
func TestKilledFollowGoesOn(t *testing.T) {
	b := newBeach(t)
	path := followedDrift(t, b, 9)
	whole := b.at("whole")
	result[exportReport](t, "export", path, "--out", whole, "--cache", b.at("let be"), "--workers", "1")
	want := outlinesIn(t, b.at("let be"))

	rng := rand.New(rand.NewPCG(17, 5))
	var said strings.Builder
	for i := range max(2, kills(t)/4) {
		cache := b.at(fmt.Sprintf("cache%d", i))
		child := exec.Command(os.Args[0], "follow", path, "--cache", cache)
		child.Env = append(os.Environ(), childMain+"=1")
		child.Stderr = &said
		require.NoError(t, child.Start())
		require.Eventually(t, func() bool { return outlinesIn(t, cache) > 0 }, 20*time.Second, time.Millisecond)
		time.Sleep(time.Duration(rng.IntN(30)) * time.Millisecond)
		kill(t, child, &said)
		require.Less(t, outlinesIn(t, cache), want, "it was at work")

		out := b.at(fmt.Sprintf("out%d", i))
		shards, workers := 1+2*(i%2), []string{"2", "7"}[i%2]
		for s := range shards {
			result[exportReport](t, "export", path, "--out", out, "--cache", cache, "--shard", fmt.Sprintf("%d/%d", s, shards), "--workers", workers)
		}
		requireSameFiles(t, whole, out)
		require.Equal(t, 9, result[verifyReport](t, "verify", out).Good)
		require.Equal(t, want, outlinesIn(t, cache))
	}
}
