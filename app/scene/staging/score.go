package staging

import (
	"context"
	"fmt"

	"halocline/app/check"
	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// A Verdict is what one matte is worth on the first frame.
type Verdict struct {
	Matte      *study.Matte
	Plane      colour.Plane // rendered
	Area       float64      // its mean
	Scores     check.Scores // against the truth
	Separation selection.Separation
}

// Score renders every matte on the first frame and scores it against the truth:
// skin, sand, water.
func (t *Take) Score(ctx context.Context) (out []Verdict, err error) {
	for i, truth := range truthsOf(t.Frame) {
		v := Verdict{Matte: &t.Study.Mattes[i]}
		if v.Plane, err = t.Renderer.Matte(ctx, t.request(i, t.Study.Clip.First)); err != nil {
			return nil, err
		}
		if v.Scores, err = check.Score(ctx, v.Plane, truth, nil); err != nil {
			return nil, err
		}
		dabs, err := t.Renderer.DabSamples(ctx, t.Study, v.Matte)
		if err != nil {
			return nil, err
		}
		if v.Separation, err = selection.MeasureSeparationEach(dabs, v.Matte.PicksOfDabs()); err != nil {
			return nil, err
		}
		for _, w := range v.Plane.Pix {
			v.Area += float64(w) / float64(len(v.Plane.Pix))
		}
		out = append(out, v)
	}
	return out, nil
}

// request asks for the i-th matte on a frame.
func (t *Take) request(i, frame int) render.Request {
	return render.Request{Study: t.Study, Settings: &t.Study.Mattes[i].Settings, Frame: frame}
}

// A ClipVerdict is what the skin's matte is worth over a clip, by IoU.
type ClipVerdict struct {
	Frames       int
	Mean, Lowest float64
	At           int     // the frame of the lowest
	Masks        float64 // the mean of the masks alone
}

// A MatteAt gives the skin's matte on a frame.
type MatteAt func(ctx context.Context, frame int) (colour.Plane, error)

// ScoreClip scores the skin on every recorded frame against the truth that was
// written.
func (t *Take) ScoreClip(ctx context.Context, matte MatteAt) (ClipVerdict, error) {
	ways := []MatteAt{matte, t.masksAlone}
	scores := make([][2]float64, len(t.Frames))
	err := atOnce(ctx, 0, len(t.Frames)-1, func(ctx context.Context, i int) error {
		truth, err := t.trueSkin(ctx, t.Frames[i])
		if err != nil {
			return err
		}
		for w, of := range ways {
			p, err := of(ctx, t.Frames[i])
			if err != nil {
				return err
			}
			iou, err := check.IoU(ctx, p, truth)
			switch {
			case err != nil:
				return fmt.Errorf("staging: frame %d: %w", t.Frames[i], err)
			case iou == nil:
				return fmt.Errorf("staging: frame %d: both the matte and the truth are empty", t.Frames[i])
			}
			scores[i][w] = *iou
		}
		return nil
	})
	v := ClipVerdict{Frames: len(t.Frames), Lowest: 1}
	for i, s := range scores {
		share := 1 / float64(len(t.Frames))
		v.Mean, v.Masks = v.Mean+s[0]*share, v.Masks+s[1]*share
		if s[0] < v.Lowest || i == 0 {
			v.Lowest, v.At = s[0], t.Frames[i]
		}
	}
	return v, err
}

// trueSkin reads the true matte of a recorded frame's skin.
func (t *Take) trueSkin(ctx context.Context, frame int) (colour.Plane, error) {
	truth, _, err := clip.ReadGrey(ctx, t.path(truthName(classes[0].name, frame)))
	return truth, err
}

func (t *Take) masksAlone(ctx context.Context, frame int) (colour.Plane, error) {
	return t.Renderer.Mask(ctx, t.request(0, frame))
}

// RenderedSkin is the skin's matte as the study has it: a MatteAt.
func (t *Take) RenderedSkin(ctx context.Context, frame int) (colour.Plane, error) {
	return t.Renderer.Matte(ctx, t.request(0, frame))
}
