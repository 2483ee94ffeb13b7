package settle

import "halocline/app/motion"

const (
	// cutMiss is the miss, in pixels of a frame of 1080 lines, that most of a frame has across a cut.
	cutMiss  = 3
	cutLines = 1080
	// cutEvery is how many nodes of the motion's grid, each way, one is looked at of.
	cutEvery = 4
)

// IsCut reports whether two frames do not show the same place: whether most of the frame does
// not come back to itself.
func IsCut(to, back *motion.Flow) bool {
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
