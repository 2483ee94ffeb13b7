package batch

import (
	"halocline/app/check"
	"halocline/app/check/seam"
	"halocline/app/check/shot"
	"halocline/app/render"
	"halocline/app/study"
)

// What check prints, as JSON: a figure that has no meaning for a frame is left out.

type checkMatte struct {
	Name    string       `json:"name"`
	Frames  []checkFrame `json:"frames"`
	Summary checkSummary `json:"summary"`
	Breaks  []checkBreak `json:"breaks,omitempty"`
}

// checkBreak is where the picture does not go on as usual on the way of a mask's outlines.
type checkBreak struct {
	Mask    string `json:"mask"`
	Cuts    []int  `json:"cuts,omitempty"`    // the first frames of another picture
	Missing []int  `json:"missing,omitempty"` // frames that the clip lacks
	Repeats []int  `json:"repeats,omitempty"` // frames that are those before them once more
}

func reportBreaks(m *study.Matte, line *shot.Timeline) (out []checkBreak) {
	all := breaksOf(line)
	for _, k := range m.Masks {
		if b := all[k.ID]; b.Any() {
			out = append(out, checkBreak{k.Name, b.Cuts, b.Missing, b.Repeats})
		}
	}
	return out
}

type checkFrame struct {
	Frame int    `json:"frame"`
	Error string `json:"error,omitempty"`
	*checkFigures
}

// checkFigures are those of a frame that could be judged.
type checkFigures struct {
	check.Figures
	Leak    *float64 `json:"leak,omitempty"` // the larger of band and dropped
	Band    *float64 `json:"band,omitempty"`
	Dropped *float64 `json:"dropped,omitempty"`
	Core    *float64 `json:"core,omitempty"`   // mean alpha deep inside the keep masks
	Cut     *float64 `json:"cut,omitempty"`    // pixels
	Filled  *float64 `json:"filled,omitempty"` // the matte's area over that of its masks
	// Bite is what the pick leaves out of what looks like its keep dabs deep inside.
	Bite *check.Bite `json:"bite,omitempty"`
	// Colours are those in the matte, in CIELAB.
	Colours *shot.Colours `json:"colours,omitempty"`
	// Crossings are where the subject may cross an outline, the longest first.
	Crossings []checkCrossing `json:"crossings,omitempty"`
	// Confidence is how likely the outlines that follow the picture are right: the least.
	Confidence *float64 `json:"confidence,omitempty"`
	// MaskedEdge is the share of the edge that masks end; the pick makes the rest.
	MaskedEdge *float64     `json:"maskedEdge,omitempty"`
	Shifts     []checkShift `json:"shifts,omitempty"` // of each keep mask
	Flicker    *float64     `json:"flicker,omitempty"`
	// CarriedChange is alpha's mean change against the matte before, carried along the motion.
	CarriedChange *float64 `json:"carriedChange,omitempty"`
	Change        *float64 `json:"change,omitempty"`
	// Seam is that of the matte's trial: rim, bleed, misfit and edge mismatch.
	Seam *seam.Figures `json:"seam,omitempty"`
	// Coverage is how much of the trial's grade lies on whole regions that it should not reach,
	// and what it leaves out.
	Coverage *seam.Coverage `json:"coverage,omitempty"`
	Verdict  string         `json:"verdict,omitempty"` // on the trial, in words
	IoU      *float64       `json:"iou,omitempty"`
	DTSSD    *float64       `json:"dtssd,omitempty"`
	Badness  float64        `json:"badness"`
	Vanishes bool           `json:"vanishes,omitempty"`
	Doubles  bool           `json:"doubles,omitempty"`
}

// checkShift is how far a mask lies from its usual place around what is picked, in
// pixels.
type checkShift struct {
	Mask  string  `json:"mask"`
	Matte string  `json:"matte,omitempty"` // that the mask is of, where it is one that is taken in
	Right float64 `json:"right"`
	Down  float64 `json:"down"`
}

// checkCrossing is where an outline may cut the subject, in pixels.
type checkCrossing struct {
	Mask   string  `json:"mask"`
	X      float64 `json:"x"` // its middle
	Y      float64 `json:"y"`
	Length float64 `json:"length"`
}

type checkSummary struct {
	Judged        int          `json:"judged"`
	Unjudged      int          `json:"unjudged"`
	Vanishes      []int        `json:"vanishes"` // frames
	Doubles       []int        `json:"doubles"`
	Bites         []int        `json:"bites,omitempty"` // on which the pick bites into its masks
	Area          *shot.Range  `json:"area,omitempty"`
	EdgeWidth     *shot.Range  `json:"edgeWidth,omitempty"`
	Specks        *shot.Range  `json:"specks,omitempty"`
	Holes         *shot.Range  `json:"holes,omitempty"`
	Leak          *shot.Range  `json:"leak,omitempty"`
	Core          *shot.Range  `json:"core,omitempty"`
	Flicker       *shot.Range  `json:"flicker,omitempty"`
	CarriedChange *shot.Range  `json:"carriedChange,omitempty"`
	Change        *shot.Range  `json:"change,omitempty"`
	MaskedEdge    *shot.Range  `json:"maskedEdge,omitempty"`
	Confidence    *shot.Range  `json:"confidence,omitempty"`
	Rim           *shot.Range  `json:"rim,omitempty"`
	Bleed         *shot.Range  `json:"bleed,omitempty"`
	Misfit        *shot.Range  `json:"misfit,omitempty"`
	IoU           *shot.Range  `json:"iou,omitempty"`
	DTSSD         *shot.Range  `json:"dtssd,omitempty"`
	Worst         []checkWorst `json:"worst"`
}

type checkWorst struct {
	Frame    int     `json:"frame"`
	Badness  float64 `json:"badness,omitempty"` // none for a frame that could not be judged
	StandOut bool    `json:"standsOut"`         // false: among the least good of a good clip
	Trouble  string  `json:"trouble"`           // its kind in a word
	What     string  `json:"what"`
}

func reportCheck(of *study.Study, m *study.Matte, line *shot.Timeline) checkMatte {
	out := checkMatte{Name: m.Name, Frames: []checkFrame{}, Breaks: reportBreaks(m, line)}
	for _, j := range line.Judged() {
		f := checkFrame{Frame: j.Number}
		if j.Err != nil {
			f.Error = oneLine(j.Err)
		} else {
			f.checkFigures = &checkFigures{
				Figures: j.Figures, Leak: j.Leak(), Band: j.Band, Dropped: j.Dropped, Core: j.Core, Cut: j.Cut, Filled: j.Filled, Bite: j.Bite, Colours: j.Colours, Crossings: reportCrossings(j.Crossings, m), Confidence: j.Confidence, MaskedEdge: j.MaskedEdge, Shifts: reportShifts(j.Shifts, of, m),
				Flicker: j.Flicker, CarriedChange: j.CarriedChange, Change: j.Change, Seam: j.Seam, Coverage: j.Coverage, Verdict: j.Verdict(), IoU: j.IoU, DTSSD: j.DTSSD,
				Badness: j.Badness, Vanishes: j.Vanishes, Doubles: j.Doubles,
			}
		}
		out.Frames = append(out.Frames, f)
	}
	s := line.Summary()
	out.Summary = checkSummary{
		Judged: s.Judged, Unjudged: s.Unjudged, Vanishes: emptied(s.Vanishes), Doubles: emptied(s.Doubles), Bites: s.Bites,
		Area: s.Area, EdgeWidth: s.EdgeWidth, Specks: s.Specks, Holes: s.Holes,
		Leak: s.Leak, Core: s.Core, Flicker: s.Flicker, CarriedChange: s.CarriedChange, Change: s.Change,
		MaskedEdge: s.MaskedEdge, Confidence: s.Confidence, Rim: s.Rim, Bleed: s.Bleed, Misfit: s.Misfit, IoU: s.IoU, DTSSD: s.DTSSD, Worst: []checkWorst{},
	}
	for _, w := range line.Worst(worstTold + len(m.Dismissed)) {
		if m.Dismisses(w.Frame, w.Trouble, w.Badness) || len(out.Summary.Worst) == worstTold {
			continue
		}
		out.Summary.Worst = append(out.Summary.Worst, checkWorst{w.Frame, w.Badness, w.StandsOut(), w.Trouble, w.Sentence})
	}
	return out
}

func reportCrossings(all []render.Crossing, m *study.Matte) (out []checkCrossing) {
	for _, c := range all {
		out = append(out, checkCrossing{m.Mask(c.Mask).Name, c.X, c.Y, c.Length})
	}
	return out
}

func reportShifts(shifts []shot.Shift, of *study.Study, m *study.Matte) (out []checkShift) {
	for _, s := range shifts {
		mask, matte := m.Mask(s.Mask), ""
		for _, other := range of.JoinedMattes(&m.Settings) {
			if taken := other.Mask(s.Mask); taken != nil {
				mask, matte = taken, other.Name
			}
		}
		out = append(out, checkShift{mask.Name, matte, s.Right, s.Down})
	}
	return out
}
