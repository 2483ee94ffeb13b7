package work

import (
	"halocline/app/study"
	"halocline/colour"
)

// Where open water is sampled and nothing says through how much of which water
// one looks, a start is needed that does no harm: clear coastal water, two
// metres (common practice, no source).
const (
	StartWater = "IB"
	StartPath  = 2
)

// SetOpenWater takes a base's veil from open water's linear light, as
// Base.Sample gives it. A base without a type of water gets StartWater, and
// one whose path is 0 gets StartPath; it reports which of the two it took.
func SetOpenWater(base *study.Base, frame int, light [3]float64) (tookType, tookPath bool) {
	for i, v := range Readable(colour.VeilFrom(light)) {
		base.Veil[i].Set(frame, v)
	}
	if tookType = base.Water == ""; tookType {
		base.Water = StartWater
	}
	if tookPath = !base.Path.Keyed() && base.Path.Value == 0; tookPath {
		base.Path.Set(frame, StartPath)
	}
	return tookType, tookPath
}

// SetBlack takes a base's black from the linear light of the darkest thing in sight, as
// Base.Darkest gives it. It takes the place of the veil, and needs no path length.
func SetBlack(base *study.Base, frame int, darkest [3]float64) {
	for i, v := range Readable(colour.BlackFrom(darkest)) {
		base.Black[i].Set(frame, v)
	}
}

// SetGrey sets a base's gains so that what had this linear light, as
// Base.Sample gives it, becomes grey. They depend on the water: sample that
// first. Light that cannot become grey is an error.
func SetGrey(base *study.Base, frame int, light [3]float64) error {
	balanced, err := base.At(frame).PickGrey(light)
	if err != nil {
		return err
	}
	for i, g := range Readable(balanced.Gains) {
		base.Gain[i].Set(frame, g)
	}
	return nil
}
