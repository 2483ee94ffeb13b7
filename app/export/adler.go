package export

import stdadler "hash/adler32"

// An adler is an Adler-32 checksum (RFC 1950, section 8.2): the low half is one
// plus the sum of all bytes, the high half the sum of those sums, both modulo
// adlerPrime.
type adler uint32

// adlerStart is the checksum of nothing.
const adlerStart adler = 1

const adlerPrime = 65521

// add returns the checksum after p as well.
func (a adler) add(p []byte) adler {
	return a.join(adler(stdadler.Checksum(p)), len(p))
}

// zeros returns the checksum after n zero bytes as well: the low half stays.
func (a adler) zeros(n int) adler {
	low, high := uint64(a&0xffff), uint64(a>>16)
	return adler(low | (high+low*uint64(n))%adlerPrime<<16)
}

// join returns the checksum of what a stands for followed by the n bytes that
// next stands for. Each of those n sums grows by the low half of a, less the
// one that next began with.
func (a adler) join(next adler, n int) adler {
	low := uint64(a&0xffff) + adlerPrime - 1
	high := uint64(a>>16) + uint64(next>>16) + low%adlerPrime*(uint64(n)%adlerPrime)
	low += uint64(next & 0xffff)
	return adler(low%adlerPrime | high%adlerPrime<<16)
}
