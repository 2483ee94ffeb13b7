package shot

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"halocline/app/follow"
	"halocline/app/study"
)

// A Finding is a frame that is worth a look.
type Finding struct {
	Frame   int
	Badness float64
	// Trouble names what is wrong in one word, the same for the same kind of trouble.
	Trouble string
	// Unjudged says that the frame could not be read or rendered.
	Unjudged bool
	// Sentence says in plain words what is wrong, without the frame's number.
	Sentence string
}

// StandsOut reports whether something is wrong with the frame. Other findings are
// the least good of a good clip.
func (f Finding) StandsOut() bool { return f.Unjudged || f.Badness >= standsOut }

// rank orders findings: frames that cannot be judged are the first.
func (f Finding) rank() float64 {
	if f.Unjudged {
		return math.Inf(1)
	}
	return f.Badness
}

// standsOut is the badness from which a frame is worth a look. Of values that are normally
// distributed one in 150,000 lies farther out; a shot has a thousand, with longer tails: from 3 on
// there are three to six on every good shot of the scene, from 4.5 on one or none.
const standsOut = 4.5

// A trouble lasts from one frame to another where no frame between them has less
// than lasting of the lesser's badness, and always to the frames within nearby.
const (
	lasting = 0.7
	nearby  = 2
)

// worstOf returns up to n findings; names are what masks are called, by their ids.
func worstOf(all []Judged, names map[int]string, n int) (found []Finding) {
	order := make([]int, 0, len(all))
	for i := range all {
		if all[i].rank() > 0 {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(all[b].rank(), all[a].rank()) })
	var told []int // indices
	for _, i := range order {
		shared := func(k int) bool { return all[i].Err == nil && all[k].Err == nil && sameTrouble(all, i, k) }
		if len(found) == n || slices.ContainsFunc(told, shared) {
			continue
		}
		from := cause(all, i)
		if !slices.Contains(told, from) {
			found = append(found, all[from].finding(names))
		}
		told = append(told, i, from)
	}
	slices.SortStableFunc(found, func(a, b Finding) int {
		return cmp.Compare(b.rank(), a.rank())
	})
	return found
}

// sameTrouble reports whether the trouble of frame i lasts to that of k, which is
// worse. What is wrong with a mask, what comes over one frame and what comes slowly are three,
// what an outline cuts off is a fourth, and where one may have lost what it follows a fifth. That a
// mask sits off is one trouble over the clip: about legs that walk it does so with each step.
func sameTrouble(all []Judged, i, k int) bool {
	switch {
	case i == k:
		return true
	case all[i].sort() != all[k].sort():
		return false
	case abs(all[i].Number-all[k].Number) <= nearby:
		return true
	case all[i].most() == byShift && all[k].most() == byShift && all[i].shiftedMask() == all[k].shiftedMask():
		return true
	}
	return lasts(all, i, k)
}

// The sorts of trouble.
const (
	suddenTrouble = iota
	slowTrouble
	maskTrouble
	crossingTrouble
	doubtTrouble
)

// sort is that of a frame's trouble.
func (j *Judged) sort() int {
	switch most := j.most(); {
	case most == byCrossing:
		return crossingTrouble
	case most == byDoubt:
		return doubtTrouble
	case traitTable[most].masks:
		return maskTrouble
	case most >= byColours, most == byDropped:
		return slowTrouble
	}
	return suddenTrouble
}

// shiftedMask is the mask that sits off most.
func (j *Judged) shiftedMask() int { return j.Shifts[j.shifted].Mask }

// lasts reports whether no frame between two has less than lasting of the badness of
// frame i.
func lasts(all []Judged, i, k int) bool {
	for b := min(i, k) + 1; b < max(i, k); b++ {
		if all[b].Badness < lasting*all[i].Badness {
			return false
		}
	}
	return true
}

// cause returns the frame on which a trouble of frame i is told. Where a mask is
// wrong it is mended at a key, as far as the trouble lasts; and where it is wrong on
// one frame alone, that shows as flicker or a jump on the next as well.
func cause(all []Judged, i int) int {
	best := &all[i]
	masks := traitTable[best.most()].masks
	if best.Err != nil || best.Vanishes || best.Doubles || best.most() == byDoubt || masks && best.hasKey(best) {
		return i
	}
	from := -1
	for k := range all {
		j := &all[k]
		key := j.hasKey(best)
		switch {
		case j.Err != nil || j.byMasks() < lasting*best.Badness || masks && !key:
			continue
		case abs(j.Number-best.Number) > nearby && !(masks && lasts(all, i, k)):
			continue
		}
		if from < 0 || key && !all[from].hasKey(best) || key == all[from].hasKey(best) && j.byMasks() > all[from].byMasks() {
			from = k
		}
	}
	if from < 0 {
		return i
	}
	return from
}

// hasKey reports whether the mask by which frame of stands out has a key on j: any
// mask, where that is not known.
func (j *Judged) hasKey(of *Judged) bool {
	switch of.most() {
	case byShift:
		return slices.Contains(j.keys, of.Shifts[of.shifted].Mask)
	case byCrossing:
		return slices.Contains(j.keys, of.Crossings[0].Mask)
	}
	return len(j.keys) > 0
}

// byMasks is how far a frame stands out by what is mended at a mask.
func (j *Judged) byMasks() (most float64) {
	for k, t := range traitTable {
		if t.masks {
			most = max(most, j.deviations[k])
		}
	}
	return most
}

// rank orders frames as their findings are.
func (j *Judged) rank() float64 {
	switch {
	case j.Stale:
		return 0
	case j.Err != nil:
		return math.Inf(1)
	}
	return j.badness()
}

// badness puts frames on which the matte vanishes or doubles on a level with what
// stands out clearly, however restless the clip.
func (j *Judged) badness() float64 {
	if j.Vanishes || j.Doubles {
		return max(j.Badness, 2*standsOut)
	}
	return j.Badness
}

func (j *Judged) finding(names map[int]string) Finding {
	return Finding{Frame: j.Number, Badness: j.badness(), Trouble: j.trouble(), Unjudged: j.Err != nil, Sentence: j.sentence(names)}
}

// troubleNames are what kinds of trouble are called, in studies too.
var troubleNames = [traits]string{
	byFlicker: "flicker", byBand: "band", byCut: "cut", byShift: "shift", byCrossing: "crossing", byDoubt: "doubt", byDropped: "dropped",
	byChange: "change", byBad: "specks", byColours: "colours", byArea: "area", byFilled: "filled", byWidth: "edge", byCore: "core",
}

// trouble is what is wrong with a frame, in the order of sentence.
func (j *Judged) trouble() string {
	switch {
	case j.Err != nil:
		return "unjudged"
	case j.most() == byDoubt:
		return troubleNames[byDoubt]
	case j.Vanishes:
		return "vanishes"
	case j.Doubles:
		return "swells"
	}
	return troubleNames[j.most()]
}

// CutWords says where an outline may cut the subject, of several places where over the longest
// stretch; "" where none does.
func (f Frame) CutWords() string {
	if len(f.Crossings) == 0 {
		return ""
	}
	return fmt.Sprintf("the outline may cut the subject at %.0f, %.0f", f.Crossings[0].X, f.Crossings[0].Y)
}

// breakWords says where the picture changes at once on the way of an outline; "" where it does not.
func (j *Judged) breakWords() string {
	for _, s := range j.Sure {
		if cuts := (follow.Breaks{Cuts: s.Breaks.Cuts}).Sentences(); len(cuts) > 0 {
			return cuts[0]
		}
	}
	return ""
}

// sentence says what is wrong with a frame.
func (j *Judged) sentence(names map[int]string) string {
	switch {
	case j.Err != nil:
		return "cannot be judged: " + j.Err.Error()
	case j.most() == byDoubt && j.breakWords() != "":
		return j.breakWords()
	case j.most() == byDoubt:
		return fmt.Sprintf("the mask may have lost it here: set a key (confidence %.2f)", *j.Confidence)
	case j.Vanishes:
		return fmt.Sprintf("the matte vanishes: area %s of the frame, its neighbours %s", study.AreaWords(j.Area, true), study.AreaWords(j.usual, true))
	case j.Doubles:
		return fmt.Sprintf("the matte swells: area %s of the frame, its neighbours %s", study.AreaWords(j.Area, true), study.AreaWords(j.usual, true))
	}
	switch j.most() {
	case byFlicker:
		return fmt.Sprintf("flickers: the matte changes by %.2f where the picture does not", *j.Flicker)
	case byBand:
		return fmt.Sprintf("leaks: a mask's edge cuts through the matte, %.2f of it in the mask's feather", *j.Band)
	case byCut:
		return fmt.Sprintf("is cut: a mask's edge cuts through the matte over %.0f px", *j.Cut)
	case byShift:
		shift := j.Shifts[j.shifted]
		return fmt.Sprintf("sits off: mask %s lies %s of its usual place around what is picked", names[shift.Mask], shift.words())
	case byCrossing:
		c := j.Crossings[0]
		return fmt.Sprintf("may be cut: the outline of mask %s may cut the subject at %.0f, %.0f, over %.0f px", names[c.Mask], c.X, c.Y, c.Length)
	case byDropped:
		return fmt.Sprintf("leaks: %s of the matte lies on colours that the dabs drop", percent(*j.Dropped))
	case byColours, byArea, byFilled, byWidth, byCore:
		return j.sinceLooked(j.most())
	case byChange:
		return fmt.Sprintf("jumps: the area changes by %s from frame %d to %d", percent(*j.Change), j.Number-1, j.Number)
	}
	return fmt.Sprintf("is ragged: %s and %s", count(j.Specks, "speck"), count(j.Holes, "hole"))
}

// most is the trait by which a frame stands out most; what is mended at a mask goes
// before the flicker or jump that comes of it, and an outline that may have lost what it follows
// before all that comes of that.
func (j *Judged) most() (most int) {
	if j.deviations[byDoubt] > 0 {
		return byDoubt
	}
	for k, p := range j.deviations {
		if p > j.deviations[most] {
			most = k
		}
	}
	masks := most
	for k, p := range j.deviations {
		if traitTable[k].masks && p >= lasting*j.deviations[most] && (!traitTable[masks].masks || p > j.deviations[masks]) {
			masks = k
		}
	}
	return masks
}

// percent writes a share with two figures.
func percent(share float64) string {
	if share < 0.1 {
		return fmt.Sprintf("%.1f %%", 100*share)
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
