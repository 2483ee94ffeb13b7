package seam

import "fmt"

// Noticeable is a difference, in CIEDE2000, below which a grade is hard to see: about what is just
// noticed side by side (common practice, no source).
const Noticeable = 1

// How much larger one of rim and bleed must be than the other for it to be the fault.
const muchMore = 1.5

// Verdict says in a sentence how a grade sits in the picture: first whole regions that are graded
// and should not be, or the other way round, then the edge.
func Verdict(f Figures, c *Coverage) string {
	switch {
	case c.Spills() && c.Spilled >= c.Short:
		return fmt.Sprintf("%.0f %% of the grade lies on what looks like the drop dabs.", 100*c.Spilled)
	case c.ReachesBeyond():
		return fmt.Sprintf("%.0f %% of the grade lies beyond the mask's edge.", 100*c.Beyond)
	case c.StopsShort():
		return "It stops short: what looks kept goes on beyond the edge."
	case c.Crossed > 0:
		return "It may stop short: an outline may cut the subject."
	case f.Misfit >= Noticeable:
		return f.edgeVerdict()
	case c.Unknown != "":
		return "Cannot tell: " + c.Unknown + "."
	}
	return "The edge carries this grade."
}

// edgeVerdict says of an edge at which the grade shows what is wrong.
func (f Figures) edgeVerdict() string {
	switch {
	case f.Rim > muchMore*f.Bleed:
		return "The edge shows: the matte is harder than the picture."
	case f.Bleed > muchMore*f.Rim:
		return "What lies beside is graded too: the matte is softer, or off."
	}
	return "The matte lies off the picture's edge, or wanders about it."
}

// Verdict says in a sentence that there is no seam, and why.
func (e NoneError) Verdict() string { return "No edge to measure: " + e.Reason + "." }
