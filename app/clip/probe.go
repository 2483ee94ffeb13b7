package clip

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
)

// A probedStream is what ffprobe says of a track.
type probedStream struct {
	Index       int    `json:"index"`
	ID          string `json:"id"`
	Kind        string `json:"codec_type"`
	Codec       string `json:"codec_name"`
	Profile     string `json:"profile"`
	Width       int    `json:"width"`
	Height      int    `json:"height"`
	PixFmt      string `json:"pix_fmt"`
	Range       string `json:"color_range"`
	Space       string `json:"color_space"`
	Primaries   string `json:"color_primaries"`
	Transfer    string `json:"color_transfer"`
	Siting      string `json:"chroma_location"`
	Fields      string `json:"field_order"`
	Aspect      string `json:"sample_aspect_ratio"`
	Rate        string `json:"r_frame_rate"`
	AverageRate string `json:"avg_frame_rate"`
	TimeBase    string `json:"time_base"`
	Claimed     string `json:"nb_frames"`
	Disposition struct {
		AttachedPic int `json:"attached_pic"`
	} `json:"disposition"`
	SideData []struct {
		Type   string `json:"side_data_type"`
		Matrix string `json:"displaymatrix"`
	} `json:"side_data_list"`
}

// A probedFile is what it says of a movie.
type probedFile struct {
	Streams []probedStream `json:"streams"`
	Format  struct {
		Name     string `json:"format_name"`
		Long     string `json:"format_long_name"`
		Start    string `json:"start_time"`
		Duration string `json:"duration"`
	} `json:"format"`
}

// probeStream returns the picture track of a movie: the first, cover art apart.
func probeStream(ctx context.Context, path string) (probedStream, probedFile, error) {
	out, err := probe(ctx, path, "-of", "json", "-show_format", "-show_streams")
	if err != nil {
		return probedStream{}, probedFile{}, err
	}
	var file probedFile
	if err := json.Unmarshal(out, &file); err != nil {
		return probedStream{}, file, &Error{path, "ffprobe's answer cannot be read (" + err.Error() + ")", "JSON", ErrProgram, err}
	}
	var others []string
	for _, s := range file.Streams {
		if s.Kind == "video" && s.Disposition.AttachedPic == 0 {
			return s, file, nil
		}
		others = append(others, s.Kind)
	}
	found := "a file without a picture track"
	if len(others) > 0 {
		found += " (it has " + strings.Join(others, ", ") + ")"
	}
	return probedStream{}, file, &Error{path, found, "a movie", ErrNotPicture, nil}
}

// fraction reads "30000/1001"; 0/0 where it is none.
func fraction(s string) [2]int { return fractionOf(s, "/") }

func fractionOf(s, mark string) [2]int {
	over, under, ok := strings.Cut(s, mark)
	a, errA := strconv.Atoi(over)
	b, errB := strconv.Atoi(under)
	if !ok || errA != nil || errB != nil || a <= 0 || b <= 0 {
		return [2]int{}
	}
	return [2]int{a, b}
}

// microseconds reads ffprobe's seconds, which have six decimals; 0 for none.
func microseconds(s string) int64 {
	whole, part, _ := strings.Cut(s, ".")
	n, err := strconv.ParseInt(whole+(part + "000000")[:6], 10, 64)
	if err != nil {
		return 0
	}
	return n
}

// displayMatrix returns the orientation (EXIF 1 to 8) of a track's display
// matrix; ok is false where it turns by no quarter.
func (s *probedStream) displayMatrix() (orientation int, ok bool) {
	for _, d := range s.SideData {
		if d.Matrix == "" {
			continue
		}
		var n []int
		for line := range strings.Lines(d.Matrix) {
			_, numbers, _ := strings.Cut(line, ":")
			for word := range strings.FieldsSeq(numbers) {
				v, err := strconv.Atoi(word)
				if err != nil {
					return 1, false
				}
				n = append(n, v)
			}
		}
		if len(n) != 9 {
			return 1, false
		}
		return quarters(n[0], n[1], n[3], n[4])
	}
	return 1, true
}

// quarters finds the orientation that maps (x,y) to (a x + c y, b x + d y), as
// ISO/IEC 14496-12, 6.2.2, has it, in 16.16 fixed point.
func quarters(a, b, c, d int) (orientation int, ok bool) {
	unit := func(v int) int { return (v + 1<<15) >> 16 }
	for o, m := range orientations {
		if o == 0 {
			continue
		}
		x, y := 1, 1
		if m.mirrorX {
			x = -1
		}
		if m.mirrorY {
			y = -1
		}
		want := [4]int{x, 0, 0, y}
		if m.turned {
			want = [4]int{0, y, x, 0}
		}
		if want == [4]int{unit(a), unit(b), unit(c), unit(d)} {
			return o, true
		}
	}
	return 1, false
}

// claimedFrames is how many frames a header says there are, 0 where it does not.
func claimedFrames(s *probedStream) int {
	n, _ := strconv.Atoi(s.Claimed)
	return n
}

func pixels(w, h int) string { return fmt.Sprintf("%d x %d", w, h) }
