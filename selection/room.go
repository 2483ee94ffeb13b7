package selection

// roomBandwidths is how far, in bandwidths, a range reaches beyond the last of what it
// keeps where nothing stops it.
const roomBandwidths = 2

// Few dabs show little of how a thing varies, so that their bandwidth may be too small and
// a range may end in the middle of what it should keep. With at most fewDabs dabs to keep,
// a border's room is the usual one times these factors. Whatever they are, it goes no
// more than half of the way to the next sample to drop. Twice the usual room was tried and
// does not pay: DEVELOPERS.md has the figures.
const (
	fewDabs    = 3
	roomToDrop = 1 // where a sample to drop lies beyond
	roomInOpen = 1 // where none does
)

// A room is how far, in bins, a border may lie beyond the last of what is kept.
type room struct {
	toDrop int // where a sample to drop lies beyond
	inOpen int // where none does
}

// roomOf returns the room of a bandwidth, in bins, with so many dabs to keep.
func roomOf(bandwidth float64, keeps int) room {
	usual := roomBandwidths * bandwidth
	if keeps > fewDabs {
		return room{int(usual), int(usual)}
	}
	return room{int(roomToDrop * usual), int(roomInOpen * usual)}
}

// room returns the room of a channel's borders.
func (a *ascent) room(c Channel) room { return roomOf(a.bandwidth[c], a.keeps) }
