package export

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"halocline/app/study"
)

// A frameSource is the SHA-256 of the file of the frame that was last asked for.
type frameSource struct {
	known bool
	frame int
	sum   string
}

// of returns the SHA-256 of the file that holds a frame; "" where that is the
// clip's one file, which the study's digest covers. A sequence's study knows its
// first file only: without this, a frame that was made anew would keep its matte.
func (s *frameSource) of(ctx context.Context, j Job, frame int) (string, error) {
	path := j.Renderer.Path(frame)
	if path == "" || path == j.Renderer.Path(j.Study.Clip.First) {
		return "", nil
	}
	if !s.known || s.frame != frame {
		print, err := study.Measure(ctx, path)
		if err != nil {
			return "", err
		}
		*s = frameSource{true, frame, print.SHA256}
	}
	return s.sum, nil
}

// footage knows the files of frames that other frames' pictures are made of: each is
// measured once in a run. The zero value is ready.
type footage struct {
	mu   sync.Mutex
	sums map[int]string
}

// of is the part of a digest that tells the files which a picture is made of: that of its
// own frame, then the others, each with its number.
func (f *footage) of(ctx context.Context, w *worker, j Job, t task) (text []byte, err error) {
	own, err := w.source.of(ctx, j, t.frame)
	if err != nil {
		return nil, err
	}
	if own != "" {
		text = fmt.Appendf(text, " %s", own)
	}
	for _, n := range j.framesBehind(t) {
		if n == t.frame {
			continue
		}
		sum, err := f.sumOf(ctx, j, n)
		if err != nil {
			return nil, err
		}
		text = fmt.Appendf(text, " %d %s", n, sum)
	}
	return text, nil
}

// sumOf is frameSource.of for a frame that others are made of.
func (f *footage) sumOf(ctx context.Context, j Job, frame int) (string, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if sum, known := f.sums[frame]; known {
		return sum, nil
	}
	var source frameSource
	sum, err := source.of(ctx, j, frame)
	if err != nil {
		return "", err
	}
	if f.sums == nil {
		f.sums = map[int]string{}
	}
	f.sums[frame] = sum
	return sum, nil
}

// masked are the mattes whose masks have a part in a picture.
func (j Job) masked(t task) (all []*study.Matte) {
	if j.Kind == Pick {
		return nil
	}
	for _, m := range j.behind(t) {
		if at := j.Study.SettingsAt(&m.Settings, t.frame); j.Kind != Trial || at.Trial.Grades() {
			all = append(all, m)
		}
	}
	return all
}

// framesBehind are the frames whose footage a picture is made of, ascending.
func (j Job) framesBehind(t task) []int {
	frames := []int{t.frame}
	for _, m := range j.masked(t) {
		frames = append(frames, j.Study.FramesBehind(&m.Settings, t.frame, j.Renderer.Has)...)
	}
	slices.Sort(frames)
	return slices.Compact(frames)
}
