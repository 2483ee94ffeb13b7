package clip

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"slices"
	"strconv"
)

// listedAbove is the size of a file in bytes above which the tables of an MP4 or
// QuickTime movie are read in place of its packets: to list packets is to read
// all of the file, a minute for 20 GB.
const listedAbove = 64 << 20

// mostBoxes is the largest header that is read: that of a day of frames takes
// some 50 MB.
const mostBoxes = 512 << 20

// mostSamples is 38 hours at 30 frames a second.
const mostSamples = 1 << 22

// A boxes is the inside of a box of ISO/IEC 14496-12 (the ISO base media file
// format), which QuickTime has too: boxes, each of its size, its kind and its
// content.
type boxes []byte

// each calls yield for every whole box.
func (b boxes) each(yield func(kind string, content boxes) bool) {
	for len(b) >= 8 {
		size, head := uint64(binary.BigEndian.Uint32(b)), uint64(8)
		if size == 1 && len(b) >= 16 {
			size, head = binary.BigEndian.Uint64(b[8:]), 16
		} else if size == 0 {
			size = uint64(len(b))
		}
		if size < head || size > uint64(len(b)) || !yield(string(b[4:8]), b[head:size]) {
			return
		}
		b = b[size:]
	}
}

// find returns the first box along a path of kinds; nil where there is none.
func (b boxes) find(kinds ...string) boxes {
	for _, want := range kinds {
		var found boxes
		for kind, content := range b.each {
			if kind == want {
				found = content
				break
			}
		}
		if found == nil {
			return nil
		}
		b = found
	}
	return b
}

// u32 reads the 32-bit number at an offset; 0 beyond the end.
func (b boxes) u32(at int) uint32 {
	if at < 0 || at+4 > len(b) {
		return 0
	}
	return binary.BigEndian.Uint32(b[at:])
}

// entries returns how many entries of size bytes follow a table's count, no more
// than there is room for.
func (b boxes) entries(at, size int) int {
	return min(int(b.u32(at)), max(len(b)-at-4, 0)/size)
}

// header reads a movie's header, box moov, wherever in the file it lies; nil
// where there is none that can be read.
func (s source) header() boxes {
	for at := int64(0); ; {
		head, err := s.bytes(at, 16)
		if err != nil {
			return nil
		}
		size, skip := int64(binary.BigEndian.Uint32(head)), int64(8)
		if size == 1 {
			size, skip = int64(binary.BigEndian.Uint64(head[8:])), 16
		} else if size == 0 {
			size = s.size - at
		}
		if size < skip || size > s.size-at && string(head[4:8]) == "moov" || size > 1<<60 {
			return nil
		}
		if string(head[4:8]) == "moov" {
			if size-skip > mostBoxes {
				return nil
			}
			b, err := s.bytes(at+skip, int(size-skip))
			if err != nil {
				return nil
			}
			return b
		}
		at += size
	}
}

// A boxSample is a picture as a track's tables have it, in the order in which
// they are decoded.
type boxSample struct {
	packet
	end int64 // of its bytes in the file
}

// track returns the samples of a track and the ticks of a second; nil where its
// tables are not all there, or the file comes in fragments, whose tables are not
// in the header.
func (b boxes) track(id uint32) (samples []boxSample, scale uint32) {
	if b.find("mvex") != nil {
		return nil, 0
	}
	for kind, trak := range b.each {
		head := trak.find("tkhd")
		if kind != "trak" || len(head) < 24 || head.u32(12+8*int(head[0]&1)) != id {
			continue
		}
		media := trak.find("mdia", "mdhd")
		tables := trak.find("mdia", "minf", "stbl")
		if len(media) < 24 || tables == nil {
			return nil, 0
		}
		return tables.samples(), media.u32(12 + 8*int(media[0]&1))
	}
	return nil, 0
}

// samples joins a track's tables (ISO/IEC 14496-12, 8.6 and 8.7).
func (b boxes) samples() []boxSample {
	sizes := b.find("stsz")
	n := int(sizes.u32(8))
	if size := sizes.u32(4); size == 0 && n > sizes.entries(8, 4) || n == 0 || n > mostSamples {
		return nil
	}
	all := make([]boxSample, n)
	if b.times(all) != n || !b.places(all, sizes) {
		return nil
	}
	if keys := b.find("stss"); keys != nil {
		for i := range keys.entries(4, 4) {
			if k := int(keys.u32(8+4*i)) - 1; k >= 0 && k < n {
				all[k].key = true
			}
		}
		return all
	}
	for i := range all { // without a table all are
		all[i].key = true
	}
	return all
}

// times sets when samples are decoded and shown, and returns how many have a
// time.
func (b boxes) times(all []boxSample) (n int) {
	lengths, later := b.find("stts"), b.find("ctts")
	var dts int64
	for i := range lengths.entries(4, 8) {
		for range lengths.u32(8 + 8*i) {
			if n == len(all) {
				break
			}
			all[n].dts, all[n].pts = dts, dts
			dts += int64(int32(lengths.u32(12 + 8*i)))
			n++
		}
	}
	at := 0
	for i := range later.entries(4, 8) {
		for range later.u32(8 + 8*i) {
			if at == n {
				return n
			}
			all[at].pts += int64(int32(later.u32(12 + 8*i)))
			at++
		}
	}
	return n
}

// places sets where samples end: they lie one behind the other in chunks.
func (b boxes) places(all []boxSample, sizes boxes) bool {
	runs, chunks, wide := b.find("stsc"), b.find("stco"), 4
	if chunks == nil {
		chunks, wide = b.find("co64"), 8
	}
	count, n := chunks.entries(4, wide), 0
	run, of := 0, runs.entries(4, 12)
	for chunk := range count {
		for run+1 < of && int(runs.u32(8+12*(run+1))) <= chunk+1 {
			run++
		}
		at := int64(chunks.u32(8 + wide*chunk))
		if wide == 8 {
			at = at<<32 | int64(chunks.u32(12+wide*chunk))
		}
		for range runs.u32(12 + 12*run) {
			if n == len(all) {
				return true
			}
			size := sizes.u32(4)
			if size == 0 {
				size = sizes.u32(12 + 4*n)
			}
			at += int64(size)
			all[n].end = at
			n++
		}
	}
	return n == len(all)
}

// boxedPackets returns the packets of an MP4 or QuickTime movie from its tables,
// under the times that ffprobe gives them: it is asked for the first and the last,
// which also shows whether the tables tell all. ok is false where they do not:
// an edit list leaves pictures out, or the tables are of another kind.
func boxedPackets(ctx context.Context, path string, s *probedStream, duration int64) (packets []packet, ok bool) {
	src, f, err := open(path)
	if err != nil {
		return nil, false
	}
	defer f.Close()
	samples, scale := src.header().track(s.id())
	if len(samples) == 0 || fraction(s.TimeBase) != [2]int{1, int(scale)} {
		return nil, false
	}
	samples = slices.DeleteFunc(samples, func(p boxSample) bool { return p.end > src.size }) // the file is cut
	const asked = 40
	if len(samples) < asked {
		return nil, false
	}
	first, err := probePackets(ctx, path, s, fmt.Sprintf("%%+#%d", asked))
	if err != nil || len(first) != asked || len(samples) < int(claimedFrames(s)) {
		return nil, false
	}
	last, err := probePackets(ctx, path, s, fmt.Sprintf("%dus%%", max(duration-1_000_000, 0)))
	if err != nil || len(last) == 0 || len(last) > len(samples) {
		return nil, false
	}
	shift, decoded := first[0].pts-samples[0].pts, first[0].dts-samples[0].dts
	for i := range samples {
		p := samples[i].packet
		packets = append(packets, packet{pts: p.pts + shift, dts: p.dts + decoded, key: p.key})
	}
	same := slices.Equal(first, packets[:asked]) && slices.Equal(last, packets[len(packets)-len(last):])
	return packets, same
}

// probePackets lists the packets of a part of a movie. Where an edit list leaves
// some of them out that is an error: the tables do not say so.
func probePackets(ctx context.Context, path string, s *probedStream, part string) ([]packet, error) {
	out, err := probe(ctx, path, "-select_streams", strconv.Itoa(s.Index), "-read_intervals", part, "-show_entries", "packet=pts,dts,flags", "-of", "csv=p=0")
	if err != nil {
		return nil, err
	}
	if bytes.Contains(out, []byte("D")) {
		return nil, &Error{path, "an edit list that leaves pictures out", "none", ErrUnsupported, nil}
	}
	return packetsOf(out, s), nil
}

// id is the track's number in its file.
func (s *probedStream) id() uint32 {
	n, _ := strconv.ParseUint(s.ID, 0, 32)
	return uint32(n)
}
