package staging

import "slices"

// shortfall returns by how much, at most, what lies straight between the first
// and the last hull falls short of those in between, in pixels.
func shortfall(hulls []hull, frames []int) float64 {
	most := 0.0
	n := len(hulls) - 1
	for i := 1; i < n; i++ {
		u := float64(frames[i]-frames[0]) / float64(frames[n]-frames[0])
		for k, v := range hulls[i] {
			most = max(most, v-(1-u)*hulls[0][k]-u*hulls[n][k])
		}
	}
	return most
}

// keyPlaces returns up to n places, first and last among them, between which the
// way from hull to hull falls least short at worst.
func keyPlaces(hulls []hull, frames []int, n int) []int {
	count := len(hulls)
	if count <= n {
		all := make([]int, count)
		for i := range all {
			all[i] = i
		}
		return all
	}
	before := placesBefore(hulls, frames, n)
	places := []int{count - 1}
	for k := n - 1; k > 1; k-- {
		if i := before[k][places[0]]; i > 0 {
			places = append([]int{i}, places...)
		}
	}
	return append([]int{0}, places...)
}

// placesBefore returns at [k][j], for k from 2 to n-1, where the key before one at
// place j serves best if up to k keys lie before j; 0 where that is the first.
func placesBefore(hulls []hull, frames []int, n int) [][]int {
	count := len(hulls)
	worst := make([]float64, count) // the least shortfall up to each place, with the keys so far
	for j := range worst {
		worst[j] = shortfall(hulls[:j+1], frames[:j+1])
	}
	before := make([][]int, n)
	for k := 2; k < n; k++ {
		next := slices.Clone(worst) // one key less, where another does no good
		before[k] = make([]int, count)
		for j := range next {
			for i := range j {
				if v := max(worst[i], shortfall(hulls[i:j+1], frames[i:j+1])); v < next[j] {
					next[j], before[k][j] = v, i
				}
			}
		}
		worst = next
	}
	return before
}
