package selection

import "fmt"

// Separation says how well colour alone tells what the dabs ask to keep from
// what they ask to drop. Every figure is the chance that a pixel to keep weighs
// more than one to drop: 0.5 is chance, 1 is perfect. Could: each dab is left
// out once, the rest fitted, its pixels weighed; so it tells what to expect of
// pixels that were not sampled. Set: the pick as it stands, on all dabs.
type Separation struct {
	Model    Model
	Keep     int // dabs
	Drop     int
	Channels [Channels]Separability // each of the model's channels alone
	Pick     Separability           // the three together
	Plane    Separability           // Fisher's plane in Lab: the ceiling
}

// Separability is one figure of a separation: Could is zero where a kind has fewer than two dabs.
type Separability struct {
	Could Estimate `json:"could"`
	Set   Estimate `json:"set"`
	// The curves that the figures are the areas under, fine enough to be drawn.
	CouldCurve []ROCPoint `json:"-"`
	SetCurve   []ROCPoint `json:"-"`
}

// Tells is the one figure that is said of it: what a fit does on dabs that it was not fitted to, or,
// where the ranges as they are set do clearly less on all of them, that.
func (s Separability) Tells() Estimate {
	if s.setTooBadly() {
		return s.Set
	}
	return s.Could
}

// setTooBadly reports whether the ranges as they are set tell clearly less apart than they could.
func (s Separability) setTooBadly() bool { return s.Set.Value < s.Could.Value-notable }

// Enough reports whether dabs could be left out: two of each kind.
func (s Separation) Enough() bool { return s.Keep >= 2 && s.Drop >= 2 }

// MeasureSeparation measures how far a pick tells the dabs apart. It needs one dab
// of each kind, and two for the figures of what could be.
func MeasureSeparation(dabs []Dab, p Pick) (Separation, error) {
	return measureSeparation(dabs, p.Model, func(int) Pick { return p })
}

// MeasureSeparationEach is MeasureSeparation for a pick that changes over time:
// picks, of one model and as many as dabs, are the pick as it is on each dab's frame.
func MeasureSeparationEach(dabs []Dab, picks []Pick) (Separation, error) {
	if len(picks) != len(dabs) {
		panic("selection: there must be a pick for each dab")
	}
	if len(dabs) == 0 {
		return MeasureSeparation(dabs, Pick{})
	}
	return measureSeparation(dabs, picks[0].Model, func(i int) Pick { return picks[i] })
}

func measureSeparation(dabs []Dab, m Model, pick func(dab int) Pick) (Separation, error) {
	s, lab := gather(dabs, m), gather(dabs, LCh)
	keep, drop := s.dabsOf(noDab)
	if keep == 0 || drop == 0 {
		return Separation{}, fmt.Errorf("selection: found %d keep and %d drop dabs, want one of each to tell them apart", keep, drop)
	}
	sep := Separation{Model: m, Keep: keep, Drop: drop}
	for _, c := range m.Channels() {
		sep.Channels[c].Set, sep.Channels[c].SetCurve = s.separability(s.weights(func(dab int) Pick { return pick(dab).only(c) }))
	}
	sep.Pick.Set, sep.Pick.SetCurve = s.separability(s.weights(pick))
	scatters := lab.scatters()
	sep.Plane.Set, sep.Plane.SetCurve = lab.separability(lab.planeScores(scatters, false))
	if sep.Enough() {
		for _, c := range m.Channels() {
			sep.Channels[c].Could, sep.Channels[c].CouldCurve = s.separability(s.weightsLeftOut(m, []Channel{c}))
		}
		sep.Pick.Could, sep.Pick.CouldCurve = s.separability(s.weightsLeftOut(m, allOrders[0]))
		sep.Plane.Could, sep.Plane.CouldCurve = lab.separability(lab.planeScores(scatters, true))
	}
	return sep, nil
}

// only returns p with all channels but c off.
func (p Pick) only(c Channel) Pick {
	for i := range Channels {
		p.Limits[i].Off = i != c || p.Limits[i].Off
	}
	return p
}

// weights returns the weights on each dab of the pick for that dab.
func (s *samples) weights(pick func(dab int) Pick) (out [][]weighted) {
	for d := range s.keep {
		out = append(out, s.dabWeights(pick(s.given[d]), d))
	}
	return out
}

// weightsLeftOut returns for each dab the weights of a pick in model m fitted to all
// others, by the channels of order alone.
func (s *samples) weightsLeftOut(m Model, order []Channel) [][]weighted {
	out := make([][]weighted, len(s.keep))
	if m == PlaneModel {
		return s.planeWeightsLeftOut(out)
	}
	eachInParallel(len(out), func(d int) {
		b := s.bestBox(d, [][]Channel{order})
		out[d] = s.dabWeights(b.pick(s.model), d)
	})
	return out
}

// planeWeightsLeftOut is weightsLeftOut for a pick by plane. Where there is no plane all
// weigh one half.
func (s *samples) planeWeightsLeftOut(out [][]weighted) [][]weighted {
	scatters := s.scatters()
	for d := range out {
		p, err := s.planePick(scatters, d)
		if err != nil {
			out[d] = []weighted{{0.5, s.count[d]}}
			continue
		}
		out[d] = s.dabWeights(p, d)
	}
	return out
}

func (s *samples) dabWeights(p Pick, dab int) (out []weighted) {
	for _, k := range s.cellsOf(dab) {
		out = append(out, weighted{p.Weight(k.in(p)), k.count})
	}
	return out
}

// separability returns the AUC over all dabs, each counting the same, with its
// interval, and the curve it is the area under. It sorts the weights.
func (s *samples) separability(weights [][]weighted) (Estimate, []ROCPoint) {
	for i, w := range weights {
		weights[i] = merged(w)
	}
	var table [][]float64
	var kept, dropped [][]weighted
	for i, keep := range s.keep {
		if !keep {
			dropped = append(dropped, weights[i])
			continue
		}
		kept = append(kept, weights[i])
		var row []float64
		for j, other := range s.keep {
			if !other {
				row = append(row, auc(weights[i], weights[j]))
			}
		}
		table = append(table, row)
	}
	return estimate(table), thinned(rocOf(kept, dropped))
}
