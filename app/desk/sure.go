package desk

import (
	"reflect"

	"halocline/app/check/shot"
	"halocline/app/desk/watch"
	"halocline/app/render"
	"halocline/app/study"
)

// How sure the outlines are that follow the picture, on the frames where that is known: those
// that were looked at, and those that were judged over the clip.

// Sure is the confidence, in [0,1], below which a followed outline may be wrong.
const Sure = shot.Doubtful

// A sureOutline is a followed outline as it was found, with its confidence but without what was
// found; and the study it was found in.
type sureOutline struct {
	render.Outline
	in *study.Study
}

// noteSure keeps how sure the followed outlines are that were found on the frame shown.
func (d *Desk) noteSure() {
	for id, o := range d.outlines.by {
		if o.Layer.Stretch != nil {
			d.keepSure(d.outlines.of.study, id, d.outlines.of.frame, render.Outline{Layer: o.Layer, Confidence: o.Confidence})
		}
	}
}

// noteJudged keeps how sure the followed outlines are on the frames that were judged.
func (d *Desk) noteJudged(v watch.Verdict) {
	if v.Study == nil {
		return
	}
	m := v.Study.Matte(v.MatteID)
	for i := range v.Judged {
		j := &v.Judged[i]
		for _, s := range j.Sure {
			if j.Stale || d.sure[s.Mask][j.Number].in == v.Study {
				continue
			}
			if l, ok := layerOf(m, s.Mask, j.Number); ok {
				d.keepSure(v.Study, s.Mask, j.Number, render.Outline{Layer: l, Confidence: s.Confidence})
			}
		}
	}
}

func (d *Desk) keepSure(in *study.Study, maskID, frame int, o render.Outline) {
	if d.sure[maskID] == nil {
		d.sure[maskID] = map[int]sureOutline{}
	}
	d.sure[maskID][frame] = sureOutline{o, in}
}

// SureAt are the confidences, in [0,1], of one of the chosen matte's masks on the frames where
// its followed outline was found, as its keys are now; 0 where nothing of it was left.
func (d *Desk) SureAt(maskID int) map[int]float64 {
	all := map[int]float64{}
	for frame, o := range d.sure[maskID] {
		if d.stillSure(maskID, frame, o) {
			all[frame] = o.Confidence
		}
	}
	return all
}

// stillSure reports whether an outline is that of the mask as it is now.
func (d *Desk) stillSure(maskID, frame int, o sureOutline) bool {
	if o.in == d.Study() {
		return true
	}
	l, ok := layerOf(d.Matte(), maskID, frame)
	return ok && o.IsOf(&l) && (!l.Search.On() || reflect.DeepEqual(o.in.Base, d.Study().Base))
}
