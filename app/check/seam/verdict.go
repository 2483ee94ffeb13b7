package seam

import "fmt"

// Noticeable is a difference, in CIEDE2000, below which a grade is hard to see: about what is just
// noticed side by side (common practice, no source).
const Noticeable = 1

// How much larger one of rim and bleed must be than the other for it to be the fault.
const muchMore = 1.5

// A Verdict says how a grade sits in the picture, and why.
type Verdict struct{ Says, Why string } // without full stops; Why may be ""

// String is the verdict as one sentence.
func (v Verdict) String() string {
	if v.Why == "" {
		return v.Says + "."
	}
	return v.Says + ": " + v.Why + "."
}

// VerdictOn is the verdict on a grade: first whole regions that are graded and should not be, or
// the other way round, then the edge.
func VerdictOn(f Figures, c *Coverage) Verdict {
	switch {
	case c.Spills() && c.Spilled >= c.Short:
		return Verdict{Says: fmt.Sprintf("%.0f %% of the grade lies on what looks dropped", 100*c.Spilled)}
	case c.ReachesBeyond():
		return Verdict{Says: fmt.Sprintf("%.0f %% of the grade lies beyond the mask's edge", 100*c.Beyond)}
	case c.StopsShort():
		return Verdict{Says: "It stops short of what looks kept"}
	case c.Crossed > 0:
		return Verdict{"It may stop short", "an outline may cut the subject"}
	case f.Misfit >= Noticeable:
		return f.edgeVerdict()
	case c.Unknown != "":
		return Verdict{"Cannot tell", c.Unknown}
	}
	return Verdict{Says: "The edge carries this grade"}
}

// edgeVerdict says of an edge at which the grade shows what is wrong.
func (f Figures) edgeVerdict() Verdict {
	switch {
	case f.Rim > muchMore*f.Bleed:
		return Verdict{"The edge shows", "the matte is harder than the picture"}
	case f.Bleed > muchMore*f.Rim:
		return Verdict{"What lies beside is graded too", "the matte is softer, or off"}
	}
	return Verdict{"The edge shows", "it lies off the picture's edge, or wanders"}
}

// Verdict says that there is no seam, and why.
func (e NoneError) Verdict() Verdict { return Verdict{"No edge to measure", e.Reason} }
