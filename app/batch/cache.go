package batch

import (
	"flag"
	"fmt"

	"halocline/app/check/shot"
	"halocline/app/follow/kept"
)

// cacheFlag names the folder in which outlines that follow the picture, and figures, are kept.
func cacheFlag(f *flag.FlagSet) *string {
	return f.String("cache", "", "folder in which outlines that follow the picture, and figures of judged frames, are kept; the study's name with .cache beside it without it")
}

// keepOutlines has the renderer of an opened study keep what it finds of followed outlines in a
// folder, "" for that beside the study.
func (w opened) keepOutlines(folder string) *kept.Folder {
	if folder == "" {
		folder = kept.Beside(w.Path)
	}
	store := kept.New(folder, kept.DefaultMost, func(s string) { w.call.notice("%s", s) })
	w.Renderer.KeepOutlines(store)
	return store
}

// doubts collects how likely the outlines of a matte that follow the picture are right.
type doubts struct {
	frames int
	least  float64
	on     int // which frame that is on
}

// add takes a frame in.
func (d *doubts) add(frame int, confidence float64) {
	if d.frames == 0 || confidence < d.least || confidence == d.least && frame < d.on {
		d.least, d.on = confidence, frame
	}
	d.frames++
}

// frameCount counts frames in words.
func frameCount(n int) string {
	if n == 1 {
		return "1 frame"
	}
	return fmt.Sprintf("%d frames", n)
}

// words says the least and where it is; "" where no frame is followed.
func (d *doubts) words() string {
	switch {
	case d.frames == 0:
		return ""
	case d.least < shot.Doubtful:
		return fmt.Sprintf("confidence is least on frame %d, %.2f: the mask may have lost it there: set a key", d.on, d.least)
	}
	return fmt.Sprintf("confidence is least on frame %d, %.2f", d.on, d.least)
}
