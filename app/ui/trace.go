package ui

import (
	"encoding/json"
	"io"
	"sync"
	"time"
)

// A trace writes one JSON line for each picture of a drag, of scrubbing, of going
// to another frame and of playing: how long it took from the user's move to the
// picture's being handed to the screen.
type trace struct {
	mu    sync.Mutex
	w     io.Writer
	begin time.Time
	err   error
}

// A traceLine is one picture. Times are in milliseconds.
type traceLine struct {
	Kind   requestKind `json:"kind"`
	Frame  int         `json:"frame"`
	At     float64     `json:"at"`     // of the move, since the program began; of a picture that plays, when it was due
	Render float64     `json:"render"` // the engine's part
	Drawn  float64     `json:"drawn"`  // with composing the view
	Shown  float64     `json:"shown"`  // from the move until the window had drawn it
	Factor int         `json:"factor"` // of the proxy
	Draft  bool        `json:"draft"`  // a finer one may follow
	Width  int         `json:"width"`  // of the view, in screen pixels
	Height int         `json:"height"`
}

func newTrace(w io.Writer) *trace { return &trace{w: w, begin: time.Now()} }

// add notes that a picture is on the screen now. It does nothing on nil.
func (t *trace) add(s *showing) {
	if t == nil || s == nil || s.request.kind == "" {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.err != nil {
		return
	}
	line, err := json.Marshal(traceLine{
		Kind: s.request.kind, Frame: s.request.frame, Draft: s.draft,
		At: ms(s.request.asked.Sub(t.begin)), Render: ms(s.render), Drawn: ms(s.took), Shown: ms(time.Since(s.request.asked)),
		Factor: s.factor, Width: s.request.vp.VW, Height: s.request.vp.VH,
	})
	if err == nil {
		_, err = t.w.Write(append(line, '\n'))
	}
	t.err = err
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
