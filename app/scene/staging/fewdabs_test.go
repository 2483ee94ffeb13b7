package staging

import (
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/selection"
)

// A way is one way to make a pick of dabs.
type way struct {
	name string
	fit  func(dabs []selection.Dab) (selection.Fitted, error)
}

// inModel is the fit in a model.
func inModel(m selection.Model) way {
	return way{m.String(), func(d []selection.Dab) (selection.Fitted, error) { return selection.Fit(d, m) }}
}

// planeWhereOffered is the plane where it is offered, else LCh.
var planeWhereOffered = way{"offered", func(d []selection.Dab) (selection.Fitted, error) {
	lch, err := selection.Fit(d, selection.LCh)
	if err != nil {
		return lch, err
	}
	sep, err := selection.MeasureSeparation(d, lch.Pick)
	if err != nil || !sep.OffersPlane() {
		return lch, err
	}
	return selection.Fit(d, selection.PlaneModel)
}}

// Picks by three, six and twelve dabs of each kind at random places, in LCh, HSL, by plane,
// and by plane where it is offered: each draw's figures are the means over the subjects of a
// group, so that a change of the fit can be compared draw by draw. See subjects_test.go for
// what the subjects are.
func TestPicksOfFewDabs(t *testing.T) {
	folder := openData(t)
	groups := classSubjects(t, folder)
	groups["skin"], groups["skin in air"], groups["sample"] = skinSubjects(t, folder), []*subject{tableSubject(t, folder)}, sampleSubjects(t)
	ways := []way{inModel(selection.LCh), inModel(selection.HSL), inModel(selection.PlaneModel), planeWhereOffered}
	for _, group := range []string{"sample", "skin", "diver", "floor", "water", "skin in air"} {
		for _, n := range []int{3, 6, 12} {
			all := make([]draws, len(ways))
			for i := range all {
				all[i] = make(draws, 8)
			}
			for _, s := range groups[group] {
				rng := rand.New(rand.NewPCG(uint64(n), hashOf(s.group+s.name)))
				for i := range 8 {
					dabs := s.dabs(rng, n)
					for k, w := range ways {
						f, err := w.fit(dabs)
						require.NoError(t, err)
						all[k][i].add(s.score(t, f.Pick))
					}
				}
			}
			for i := range 8 {
				line := fmt.Sprintf("draw: %s, %d dabs, draw %d:", group, n, i+1)
				for k, w := range ways {
					line += fmt.Sprintf(" %s %v;", w.name, all[k][i].mean())
				}
				t.Log(line)
			}
			for k, w := range ways {
				accuracy, iou := all[k].against(all[0])
				t.Logf("mean: %s, %d dabs: %s %v; against lch %v, %v", group, n, w.name, all[k].mean(), accuracy, iou)
			}
		}
	}
}

// hashOf is a number of a text.
func hashOf(text string) uint64 {
	h := fnv.New64a()
	_, _ = h.Write([]byte(text))
	return h.Sum64()
}
