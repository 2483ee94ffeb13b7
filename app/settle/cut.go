package settle

import "halocline/app/motion"

const (
	// cutMiss is the miss, in pixels of a frame of cutLines lines, that most of a frame has across a
	// cut. On the demo scene it is mostly 0.5 from frame to frame, 2 over four frames, 33 and more
	// between scenes.
	cutMiss  = 3
	cutLines = 1080
	// cutLikeness is the likeness of luma below which frames do not show the same, however well
	// their motions agree: one of them may be even water, where any motion agrees.
	cutLikeness = 0.5
	// cutEvery is of how many nodes of the motion's grid, each way, one is looked at.
	cutEvery = 4
)

// IsCut reports whether two frames do not show the same place: whether most of the first does
// not come back to itself, or its luma is not like that of the second, carried. to leads from
// the first to the second, and back from there.
func IsCut(first, second *motion.Picture, to, back *motion.Flow) bool {
	return mostMiss(to, back) || to.Likeness(first, second, cutEvery) < cutLikeness
}

func mostMiss(to, back *motion.Flow) bool {
	w, h, scale := to.Grid()
	_, lines := to.Size()
	limit := max(cutMiss*float32(lines)/cutLines, 1)
	seen, off := 0, 0
	for j := 0; j < h; j += cutEvery {
		for i := 0; i < w; i += cutEvery {
			du, dv := to.AtNode(i, j)
			x, y := (float32(i)+0.5)*float32(scale)-0.5, (float32(j)+0.5)*float32(scale)-0.5
			seen++
			if back.MissSquared(x, y, du, dv) > limit*limit {
				off++
			}
		}
	}
	return 2*off > seen
}
