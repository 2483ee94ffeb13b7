package desk

import (
	"halocline/app/desk/watch"
	"halocline/app/proof"
)

// IdleEdits is after how many edits that gained nothing it is said.
const IdleEdits = 10

// A Gain follows whether work on a matte still gains something since its last proof.
// Each figure that a comparison counts (proof.Compare) has a best value, first that of
// the proof; Edits counts the edits made on the matte's settings since one of them
// became better than its best.
type Gain struct {
	proofID int
	frame   int
	best    proof.Figures
	Edits   int
}

// Take compares a review with the best so far.
func (g *Gain) Take(r watch.Review) {
	if g.proofID != r.Proof.ID || g.frame != r.Frame {
		edits := g.Edits
		if g.proofID != r.Proof.ID {
			edits = 0
		}
		*g = Gain{r.Proof.ID, r.Frame, r.Last, edits}
	}
	if len(proof.Compare(g.best, r.Now).Better) > 0 {
		g.best, g.Edits = proof.BestOf(g.best, r.Now), 0
	}
}
