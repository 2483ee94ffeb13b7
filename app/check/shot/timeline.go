package shot

import (
	"maps"
	"slices"
	"sync"
)

// A Timeline keeps the figures of a shot while it is worked on: after an edit
// only the frames that it reaches are judged anew. The zero value is ready; its
// methods may be called from several goroutines.
type Timeline struct {
	mu     sync.Mutex
	wanted map[int]string // the key of each frame of the shot
	frames map[int]Frame
	keys   map[int][]int  // the masks that have a key on a frame, by their ids
	names  map[int]string // what masks are called, by id
	judged []Judged       // of frames; nil: to be worked out
}

// Judged is a frame among the others of its shot.
type Judged struct {
	Frame
	// Badness is how far the frame stands out from the clip, in robust standard
	// deviations (package comment); 0 where it does not.
	Badness float64
	// Stale says that the figures are those from before an edit.
	Stale bool
	// Vanishes and Doubles say that the area is less than a quarter, or more than
	// twice, that of its neighbours.
	Vanishes, Doubles bool
	// Shifts are how far each keep mask lies from its usual place around what is
	// picked. One that is off there has none.
	Shifts []Shift

	deviations [traits]float64 // how far it stands out by each
	shifted    int             // the one of Shifts that stands out most
	usual      float64         // its neighbours' area
	keys       []int           // masks that have a key here, by their ids
}

// Update makes s what the timeline is about, and returns those of its frames
// whose figures are missing or were worked out under other settings. The latter
// stay, as stale, until Add replaces them; frames that are no longer the shot's
// are forgotten. It works out two digests a frame.
func (t *Timeline) Update(s *Shot) (missing []int) {
	dabs := s.dabsKey()
	wanted := make(map[int]string, len(s.Frames))
	for _, n := range s.Frames {
		wanted[n] = s.key(n, dabs)
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.wanted, t.keys, t.names, t.judged = wanted, s.keys(), s.names(), nil
	if t.frames == nil {
		t.frames = map[int]Frame{}
	}
	maps.DeleteFunc(t.frames, func(n int, _ Frame) bool { return wanted[n] == "" })
	for _, n := range s.Frames {
		if f, ok := t.frames[n]; !ok || f.key != wanted[n] {
			missing = append(missing, n)
		}
	}
	return missing
}

// Add takes a frame that Shot.Each has judged. One that is not of the shot as
// Update saw it last is left out.
func (t *Timeline) Add(f Frame) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.wanted[f.Number] == f.key && f.key != "" {
		t.frames[f.Number] = f
		t.judged = nil
	}
}

// Judged returns all frames that have figures, or an error for them, ascending.
func (t *Timeline) Judged() []Judged {
	t.mu.Lock()
	defer t.mu.Unlock()
	return slices.Clone(t.all())
}

// all is Judged with the timeline locked, and its own.
func (t *Timeline) all() []Judged {
	if t.judged == nil {
		t.judged = make([]Judged, 0, len(t.frames))
		for _, n := range slices.Sorted(maps.Keys(t.frames)) {
			f := t.frames[n]
			t.judged = append(t.judged, Judged{Frame: f, Stale: f.key != t.wanted[n], keys: t.keys[n]})
		}
		compare(t.judged)
	}
	return t.judged
}

// Worst returns up to n findings, the worst first: frames that cannot be judged,
// then those that stand out. A trouble that lasts is told once, where it is worst;
// if a mask makes it and has a key nearby where it is hardly less, at that key.
func (t *Timeline) Worst(n int) []Finding {
	t.mu.Lock()
	defer t.mu.Unlock()
	return worstOf(t.all(), t.names, n)
}

// Summary returns what the whole is like.
func (t *Timeline) Summary() Summary {
	t.mu.Lock()
	defer t.mu.Unlock()
	return summary(t.all())
}
