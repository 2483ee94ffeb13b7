package ui

import (
	"halocline/app/desk/watch"
	"halocline/app/proof"
)

// idleEdits is after how many edits that gained nothing it is said.
const idleEdits = 10

// A gain follows whether work on a matte still gains something since its last proof.
// Each figure that a comparison counts (proof.Compare) has a best value, first that of
// the proof; edits counts the edits made on the matte's settings since one of them
// became better than its best.
type gain struct {
	proofID int
	frame   int
	best    proof.Figures
	edits   int
}

// take compares a review with the best so far.
func (g *gain) take(r watch.Review) {
	if g.proofID != r.Proof.ID || g.frame != r.Frame {
		edits := g.edits
		if g.proofID != r.Proof.ID {
			edits = 0
		}
		*g = gain{r.Proof.ID, r.Frame, r.Last, edits}
	}
	if len(proof.Compare(g.best, r.Now).Better) > 0 {
		g.best, g.edits = proof.BestOf(g.best, r.Now), 0
	}
}
