package batch

import (
	"context"
	"fmt"
	"slices"
	"time"

	"halocline/app/clip"
	"halocline/app/export"
	"halocline/app/follow"
	"halocline/app/follow/kept"
	"halocline/app/render"
	"halocline/app/study"
)

var followVerb = verb{
	name: "follow", usage: "STUDY [--matte NAME]... [--frames A-B,C] [--shard I/N] [--cache DIR] [--progress json]",
	about: "Find the outlines of masks that follow the picture ahead of time. They are kept in a folder, where export, check and mask look for them. Following takes longer than all else of a frame. " +
		"All mattes unless --matte names some, all frames unless --frames names some. What is there already is left; the same call goes on after a stop. " +
		"Says how long a frame took, and where an outline is least likely to be right. " +
		"With --shard I/N, I from 0 to N-1, one of N parts of the frames. Shards may work in one folder at once.",
	examples: []string{
		"halocline-batch follow transect.halocline",
		"halocline-batch follow transect.halocline --matte skin --frames 1-240",
		"halocline-batch follow transect.halocline --cache /scratch/outlines --shard 0/4 --progress json",
	},
	run: runFollow,
}

type followReport struct {
	Study  string        `json:"study"`
	Cache  string        `json:"cache"`  // the folder
	Frames string        `json:"frames"` // that were looked at
	Mattes []followMatte `json:"mattes"`
}

type followMatte struct {
	Name     string       `json:"name"`
	Followed int          `json:"followed"` // frames to which a mask follows the picture
	Left     int          `json:"left"`     // of these: known before
	Seconds  float64      `json:"secondsAFrame,omitempty"`
	Least    *followFrame `json:"least,omitempty"` // of all confidences
	Lost     []int        `json:"lost,omitempty"`  // frames on which nothing of an outline is left
	breaks   follow.Breaks
	Each     []followFrame `json:"frames"`
}

// followFrame is how likely the outlines on a frame are right, in [0,1].
type followFrame struct {
	Frame      int     `json:"frame"`
	Confidence float64 `json:"confidence"`
}

// A followJob is the work of a call of follow.
type followJob struct {
	*call
	opened
	store *kept.Folder
	tell  func(export.Progress) // nil: nothing of the progress
	done  int
	total int // steps: of each frame one, and one more where a key lies after it
}

func runFollow(ctx context.Context, c *call) error {
	f := c.newFlags()
	var names list
	f.Var(&names, "matte", "name of a matte; may be given several times; all without it")
	framesText := f.String("frames", "", "numbers and ranges such as 1-24,30; all without it")
	shardText := f.String("shard", "0/1", "part I of N of the frames, I from 0")
	cache := cacheFlag(f)
	form := f.String("progress", "", "json: one object a line on stderr after each step")
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	spans, err := parseFrames(f, *framesText)
	if err != nil {
		return err
	}
	shard, err := export.ParseShard(*shardText)
	if err != nil {
		return misuse("%v", err)
	}
	tell, err := c.progress(*form)
	if err != nil {
		return err
	}
	w, err := c.openStudy(ctx, args[0])
	if err != nil {
		return err
	}
	mattes, err := w.mattes(names)
	if err != nil {
		return err
	}
	frames, err := c.framesOf(ctx, w, spans)
	if err != nil {
		return err
	}
	frames = shard.Part(frames)
	j := followJob{call: c, opened: w, store: w.keepOutlines(*cache), tell: tell}
	return j.run(ctx, mattes, frames)
}

// run follows the masks of mattes, and prints what came of it.
func (j *followJob) run(ctx context.Context, mattes []*study.Matte, frames []int) error {
	all := make([]followTask, len(mattes))
	for i, m := range mattes {
		var err error
		if all[i], err = j.task(ctx, m, frames); err != nil {
			return err
		}
		j.total += all[i].steps()
	}
	report := followReport{Study: j.Path, Cache: j.store.Path(), Frames: clip.SpansText(clip.SpansOf(frames)), Mattes: []followMatte{}}
	followed := 0
	for _, t := range all {
		made, err := j.follow(ctx, t)
		if err != nil {
			if made.made() > 0 || j.done > 0 {
				j.notice("what was followed is kept in %s: the same call goes on from there", j.store.Path())
			}
			return err
		}
		followed += made.Followed
		report.Mattes = append(report.Mattes, made)
		j.tellOf(made)
	}
	if followed == 0 {
		j.notice("no mask follows the picture on any of the %d frames: mask --way follow has one do so", len(frames))
	}
	return j.printJSON(report)
}

// A followTask is the frames of one matte to which a mask follows the picture.
type followTask struct {
	matte   *study.Matte
	frames  []int
	unknown []int // of frames: those that the store lacks
	back    []int // of these: those before a key to which a mask follows
}

func (t followTask) steps() int { return len(t.frames) + len(t.back) }

// task looks at what is to be done for a matte.
func (j *followJob) task(ctx context.Context, m *study.Matte, frames []int) (followTask, error) {
	t := followTask{matte: m}
	for _, n := range frames {
		at := j.Study.SettingsAt(&m.Settings, n)
		layers := at.Followed()
		if len(layers) == 0 {
			continue
		}
		t.frames = append(t.frames, n)
		known, err := j.Renderer.KnowsFollowed(ctx, j.Study, &m.Settings, n)
		if err != nil {
			return t, err
		}
		if known {
			continue
		}
		t.unknown = append(t.unknown, n)
		for _, l := range layers {
			if l.Stretch.To != nil {
				t.back = append(t.back, n)
				break
			}
		}
	}
	return t, nil
}

// follow makes what is missing of a matte: first from the keys after the frames, backwards,
// then from those before them.
func (j *followJob) follow(ctx context.Context, t followTask) (made followMatte, err error) {
	made = followMatte{Name: t.matte.Name, Each: []followFrame{}}
	start := time.Now()
	for _, n := range slices.Backward(t.back) {
		if err := j.Renderer.CarryBack(ctx, j.Study, &t.matte.Settings, n); err != nil {
			return made, j.stopped(ctx, n, err)
		}
		if err := j.step(t.matte, n, false); err != nil {
			return made, err
		}
	}
	for _, n := range t.frames {
		c, _, err := j.Renderer.Confidence(ctx, j.Study, &t.matte.Settings, n)
		if err != nil {
			return made, j.stopped(ctx, n, err)
		}
		made.add(n, c, !slices.Contains(t.unknown, n))
		if err := j.step(t.matte, n, !slices.Contains(t.unknown, n)); err != nil {
			return made, err
		}
	}
	if n := made.made(); n > 0 {
		made.Seconds = time.Since(start).Round(time.Millisecond).Seconds() / float64(n)
	}
	return made, nil
}

// stopped is why a frame could not be followed.
func (j *followJob) stopped(ctx context.Context, frame int, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return fmt.Errorf("batch: frame %d: %w", frame, err)
}

// step tells that one more is done. It is an error where nothing can be kept: all would be in
// vain.
func (j *followJob) step(m *study.Matte, frame int, left bool) error {
	j.done++
	if err := j.store.Err(); err != nil {
		return fmt.Errorf("batch: outlines cannot be kept in %s: %w: want another folder with --cache", j.store.Path(), err)
	}
	if j.tell != nil {
		j.tell(export.Progress{Done: j.done, Total: j.total, Left: left, Entry: export.Entry{Frame: frame, Name: m.Name}})
	}
	return nil
}

// add takes a frame in that was followed, or was known before.
func (m *followMatte) add(frame int, c render.Confidence, left bool) {
	f := followFrame{frame, c.Least}
	m.Each = append(m.Each, f)
	m.Followed++
	if left {
		m.Left++
	}
	if m.Least == nil || c.Least < m.Least.Confidence {
		m.Least = &f
	}
	m.breaks.Add(c.Breaks)
	if c.Lost {
		m.Lost = append(m.Lost, frame)
	}
}

// made is how many frames were followed by this call.
func (m *followMatte) made() int { return m.Followed - m.Left }

// tellOf tells of a matte in words.
func (j *followJob) tellOf(m followMatte) {
	if m.Followed == 0 {
		return
	}
	pace := "all known before"
	if n := m.made(); n > 0 {
		pace = fmt.Sprintf("%d followed now, %.1f s a frame", n, m.Seconds)
	}
	var d doubts
	for _, f := range m.Each {
		d.add(f.Frame, f.Confidence)
	}
	j.notice("matte %q follows the picture on %s: %s; %s", m.Name, frameCount(m.Followed), pace, d.words())
	for _, sentence := range m.breaks.Sentences() {
		j.notice("matte %q: %s", m.Name, sentence)
	}
	if len(m.Lost) > 0 {
		j.notice("matte %q: nothing is left of an outline on %s: the drawn one is used", m.Name, clip.FramesWord(clip.SpansOf(m.Lost)))
	}
}
