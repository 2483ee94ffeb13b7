package desk

import (
	"fmt"

	"halocline/app/ink"
	"halocline/app/study"
	"halocline/colour"
)

// The Misclassified are the pixels under the dabs of the frame shown that the pick
// weighs the wrong way: of keep dabs those below one half, of drop dabs those of at least
// that.
type Misclassified struct {
	of     misclassifiedOf
	Lost   []ink.Pt // middles, in source pixels
	Caught []ink.Pt
	Kept   int // all pixels of keep dabs
	Drops  int // of drop dabs
}

// misclassifiedOf says what misclassified pixels were worked out for.
type misclassifiedOf struct {
	study   *study.Study
	matteID int
	frame   int
	picked  *colour.Image
}

// Misclassified are the misclassified pixels of the pick as it stands, also while its
// lines are dragged; nil while the picture that it reads is not known.
func (d *Desk) Misclassified() *Misclassified {
	m := d.Matte()
	if m == nil || d.Found.Picked == nil || d.Found.Frame != d.Frame || d.Found.MatteID != m.ID {
		return nil
	}
	of := misclassifiedOf{d.Study(), m.ID, d.Frame, d.Found.Picked}
	if of != d.missed.of {
		d.missed = newMisclassified(of, m)
	}
	return &d.missed
}

// sparseRadius is from which radius on, in pixels, a dab is looked at by every other
// pixel each way, and so on: it is done as a line moves, and some 1,200 tell a
// percent.
const sparseRadius = 20

// newMisclassified works out the misclassified pixels of a matte on a frame.
func newMisclassified(of misclassifiedOf, m *study.Matte) Misclassified {
	out := Misclassified{of: of}
	pick := m.Pick.At(of.frame)
	width, height := of.picked.Size()
	for _, d := range m.Dabs {
		if d.Frame != of.frame {
			continue
		}
		every := max(1, int(d.Radius/sparseRadius))
		colour.EachInDisc(d.X, d.Y, d.Radius, width, height, func(x, y int) {
			if x%every != 0 || y%every != 0 {
				return
			}
			out.add(d.Kind, x, y, pick.Weight(pick.At(of.picked.RGB(x, y))))
		})
	}
	return out
}

func (m *Misclassified) add(k study.Kind, x, y int, weight float64) {
	at := ink.Pt{X: float64(x) + 0.5, Y: float64(y) + 0.5}
	if k == study.Keep {
		m.Kept++
		if weight < 0.5 {
			m.Lost = append(m.Lost, at)
		}
		return
	}
	m.Drops++
	if weight >= 0.5 {
		m.Caught = append(m.Caught, at)
	}
}

// MisclassifiedText says how many pixels are lost and caught.
func (d *Desk) MisclassifiedText() string {
	m := d.Misclassified()
	if m == nil {
		return "… lost, … caught"
	}
	if m.Kept+m.Drops == 0 {
		return "No dabs on this frame"
	}
	share := func(n, of int) float64 { return 100 * float64(n) / float64(max(of, 1)) }
	return fmt.Sprintf("Here %.0f %% of keep lost, %.0f %% of drop caught", share(len(m.Lost), m.Kept), share(len(m.Caught), m.Drops))
}

// ToggleMisclassified opens Pick and shows which pixels of the dabs the pick has wrong,
// or hides them.
func (d *Desk) ToggleMisclassified() {
	d.Set(func() {
		d.OpenStep(StepPick)
		d.ShowMisclassified = !d.ShowMisclassified
	})
}
