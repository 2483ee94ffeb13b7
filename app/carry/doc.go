// Package carry makes studies of other clips of a dive from one that is done: base, mattes with
// their picks, edges and trials, how mattes are joined, and on request their masks.
//
// What has keys gets one value, that of its last key: the other clip has other frames. Dabs stay
// where they are, since they lie on pictures of their clip; their colours come along, and tell
// whether the other clip has them too. A pick that does not suit the other clip is marked stale,
// with the channels in which that clip's colours lie elsewhere, until it is fitted to dabs there.
package carry
