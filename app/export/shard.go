package export

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// A Shard is one of the parts that several machines, or tasks of a scheduler's
// array job, share an export in: Index of Of, counted from 0. Its frames follow
// one another, as footage is read quickest in order. The zero value is all.
//
// Shards may write into one folder at the same time: each keeps a manifest of its
// own there, manifest.2-of-4.jsonl for 2/4, and the frames of two are never the
// same.
type Shard struct{ Index, Of int }

// mostShards keeps the split of frames within 64 bits.
const mostShards = 1_000_000

// ParseShard reads "2/4".
func ParseShard(text string) (Shard, error) {
	index, of, both := strings.Cut(text, "/")
	i, errI := strconv.Atoi(strings.TrimSpace(index))
	n, errN := strconv.Atoi(strings.TrimSpace(of))
	if !both || errI != nil || errN != nil || n < 1 || n > mostShards || i < 0 || i >= n {
		return Shard{}, fmt.Errorf("export: shard is %q, want I/N with I from 0 to N-1, such as 0/4 to 3/4", text)
	}
	return Shard{i, n}, nil
}

// whole reports whether the shard is everything.
func (s Shard) whole() bool { return s.Of <= 1 }

func (s Shard) String() string { return fmt.Sprintf("%d/%d", s.Index, max(s.Of, 1)) }

// Part returns the shard's part of frames.
func (s Shard) Part(frames []int) []int {
	if s.whole() {
		return frames
	}
	return frames[s.Index*len(frames)/s.Of : (s.Index+1)*len(frames)/s.Of]
}

// ManifestName returns the name of the shard's manifest.
func (s Shard) ManifestName() string {
	if s.whole() {
		return ManifestName
	}
	return fmt.Sprintf("manifest.%d-of-%d.jsonl", s.Index, s.Of)
}

var shardManifest = regexp.MustCompile(`^manifest\.\d+-of-\d+\.jsonl$`)

// isManifest reports whether a file of that name is a manifest.
func isManifest(name string) bool { return name == ManifestName || shardManifest.MatchString(name) }

// manifests names the shard's manifest and its fellows'.
func (s Shard) manifests() string {
	if s.whole() {
		return ManifestName
	}
	return fmt.Sprintf("manifest.*-of-%d.jsonl", s.Of)
}
