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
	dabbed map[int]bool   // frames with dabs
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
	dabbed     bool
	against    [traits]against // what it stands out from, where that is a frame that was looked at
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
	t.wanted, t.keys, t.dabbed, t.names, t.judged = wanted, s.keys(), s.dabbed(), s.names(), nil
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

// dabbed are the frames that have dabs.
func (s *Shot) dabbed() map[int]bool {
	out := map[int]bool{}
	for _, d := range s.Dabs {
		out[d.Frame] = true
	}
	return out
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
			t.judged = append(t.judged, Judged{Frame: f, Stale: f.key != t.wanted[n], keys: t.keys[n], dabbed: t.dabbed[n]})
		}
		compareFresh(t.judged)
	}
	return t.judged
}

// compareFresh compares frames whose figures are not stale with each other: the rest are of
// another matte, and stand out from nothing.
func compareFresh(all []Judged) {
	var fresh []Judged
	for _, j := range all {
		if !j.Stale {
			fresh = append(fresh, j)
		}
	}
	compare(fresh)
	for i := range all {
		if !all[i].Stale {
			all[i], fresh = fresh[0], fresh[1:]
		}
	}
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
