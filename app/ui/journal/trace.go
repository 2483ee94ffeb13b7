package journal

import (
	"encoding/json"
	"io"
	"sync"
	"time"

	"halocline/app/desk/watch"
)

// A Trace writes one JSON line for each picture of a drag, of scrubbing, of going
// to another frame and of playing: how long it took from the user's move to the
// picture's being handed to the screen.
type Trace struct {
	mu    sync.Mutex
	w     io.Writer
	begin time.Time
	err   error
}

// A traceLine is one picture. Times are in milliseconds.
type traceLine struct {
	Kind   watch.RequestKind `json:"kind"`
	Frame  int               `json:"frame"`
	At     float64           `json:"at"`     // of the move, since the program began; of a picture that plays, when it was due
	Render float64           `json:"render"` // the engine's part
	Drawn  float64           `json:"drawn"`  // with composing the view
	Shown  float64           `json:"shown"`  // from the move until the window had drawn it
	Factor int               `json:"factor"` // of the proxy
	Draft  bool              `json:"draft"`  // a finer one may follow
	Width  int               `json:"width"`  // of the view, in screen pixels
	Height int               `json:"height"`
}

// NewTrace is a trace that begins now; nil where w is nil.
func NewTrace(w io.Writer) *Trace {
	if w == nil {
		return nil
	}
	return &Trace{w: w, begin: time.Now()}
}

// Add notes that a picture is on the screen now. After the first error of its writer a
// trace writes no more.
func (t *Trace) Add(s *watch.Showing) {
	if t == nil || s == nil || s.Request.Kind == "" {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.err != nil {
		return
	}
	line, err := json.Marshal(traceLine{
		Kind: s.Request.Kind, Frame: s.Request.Frame, Draft: s.Draft,
		At: ms(s.Request.Asked.Sub(t.begin)), Render: ms(s.Render), Drawn: ms(s.Took), Shown: ms(time.Since(s.Request.Asked)),
		Factor: s.Factor, Width: s.Request.Vp.VW, Height: s.Request.Vp.VH,
	})
	if err == nil {
		_, err = t.w.Write(append(line, '\n'))
	}
	t.err = err
}

func ms(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
