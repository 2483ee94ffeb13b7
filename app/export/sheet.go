package export

import (
	"context"
	"fmt"
	"image"
	"io"
	"path/filepath"
	"strconv"
	"strings"
	"text/template"

	"halocline/app/clip"
	"halocline/app/study"
	"halocline/colour"
)

// A sheet tells the person who gets mattes what they are. It has no date: the same
// mattes have the same sheet.
type sheet struct {
	Title                     string // with the line's end
	Clip, Matte, Footage, Sum string
	Example, Overlay          string
	Frames                    string
	Bad                       string // frames that have no picture
	Others                    string // frames of earlier plans
	Plan                      int
	Hash                      string
	Count, Lacks              int
	Rate                      string
	First, Last, Reference    int
	FirstTime, LastTime       string
	Size                      image.Point
	Factor, Depth, Most       int
	Joined                    []string // what the matte takes in, and how
	Base                      []string
	Keyed                     bool
	Engine                    int
	Manifest                  string
}

var sheetForm = template.Must(template.New("sheet").Parse(`{{.Title}}
Files        One picture for each frame, such as {{.Example}}
             The number is the frame's own, as the footage counts.
Frames       {{.Frames}} ({{.Count}} in all{{if .Lacks}}; {{.Lacks}} in between are not among them{{end}})
{{- if .Bad}}
Without      Frames {{.Bad}} have no picture: their footage cannot be read
{{- end}}
Plan         {{.Plan}}, {{.Hash}}: this text is about its frames
{{- if .Others}}
             Frames {{.Others}} beside them are of earlier plans, and may be made with
             other settings
{{- end}}
{{- if .Rate}}
Rate         {{.Rate}} frames a second. Frame {{.First}} is at {{.FirstTime}},
             frame {{.Last}} at {{.LastTime}}
{{- end}}
Footage      {{.Footage}}{{if .Sum}}, SHA-256 {{.Sum}}{{end}}
Size         {{.Size.X}} x {{.Size.Y}} pixels, every frame whole, none cropped or scaled
Orientation  As the footage is displayed: the first row is the top, and what an
             orientation tag asks for has been done
Samples      Grey PNG, one channel of {{.Depth}} bits
Range        Full: value = round(alpha x {{.Most}}). 0 is outside the matte, {{.Most}} wholly
             inside
Coverage     Linear: half the value is half the pixel. No gamma, no colour profile:
             take the files as data, and let nothing convert them
Use          As the alpha of the footage, which is not multiplied by it
{{- range $i, $line := .Joined}}
{{if $i}}             {{else}}Joined       {{end}}{{$line}}
{{- end}}
{{- if .Base}}
Base         The mattes were made on the footage after this correction of its light,
             which the footage itself has not had{{if .Keyed}} (it varies; here frame {{.Reference}})
{{- end}}:
{{- range .Base}}
             {{.}}
{{- end}}
{{- else}}
Base         None: the mattes were made on the footage as it is
{{- end}}
Engine       {{.Engine}}
Check        {{.Overlay}} is frame {{.Reference}} after base{{if gt .Factor 1}}, at 1/{{.Factor}} of its size{{end}}, under
             diagonal lines wherever the matte is less than white. Lay the matte of
             frame {{.Reference}} over it, scaled alike: the lines must end where the matte is
             white. If they are off by a little everywhere, something was scaled or
             cropped; if they fit another frame, the numbers are shifted.
Whole        {{.Manifest}} has each file's size and SHA-256;
             halocline-batch verify FOLDER goes through them
`))

// sheetTitle is the first line of a matte's sheet.
func sheetTitle(matte, clip string) string { return fmt.Sprintf("Mattes of %s in %s\n", matte, clip) }

// sheet writes a matte's sheet.
func (r *run) sheet(ctx context.Context, x extra, i int, e Entry) (Entry, bool, error) {
	s, err := r.sheetOf(ctx, x.matte)
	if err != nil {
		return e, false, err
	}
	var text strings.Builder
	if err := sheetForm.Execute(&text, s); err != nil {
		return e, false, fmt.Errorf("export: %s: %w", x.name, err)
	}
	e.Frame = s.Reference
	e.Digest = digestOf("sheet %s", text.String())
	return r.putExtra(ctx, x, i, e, func(w io.Writer) error {
		_, err := io.WriteString(w, text.String())
		return err
	})
}

func (r *run) sheetOf(ctx context.Context, m *study.Matte) (sheet, error) {
	frames, c, at := r.Frames, r.Study.Clip, r.reference(m)
	s := sheet{
		Title: sheetTitle(m.Name, c.Name()),
		Clip:  c.Name(), Matte: m.Name, Footage: filepath.Base(c.Path), Sum: c.SHA256,
		Overlay: r.nameBeside(m, overlayEnding),
		Count:   len(frames), First: frames[0], Last: frames[len(frames)-1], Reference: at,
		Depth: r.Depth, Most: 1<<r.Depth - 1, Engine: study.Engine, Manifest: r.Shard.manifests(),
	}
	s.Lacks = s.Last - s.First + 1 - s.Count
	s.Frames = clip.SpansText(clip.SpansOf(frames))
	var err error
	if s.Example, err = r.nameOf(m, s.First); err != nil {
		return s, err
	}
	if s.Others, err = r.othersBeside(m); err != nil {
		return s, err
	}
	s.Plan, s.Hash, s.Bad = r.plan.Number, r.plan.Hash[:settingsDigits], FramesText(r.badOf(m))
	s.setTimes(r)
	// The job's renderer may have the frame: of one frame it was made by it.
	if s.Size, err = r.Renderer.Size(ctx, r.Study, at); err != nil {
		return s, err
	}
	s.Factor = overlayFactor(s.Size)
	s.Joined = joinedLines(r.Study, m)
	s.Base, s.Keyed = baseLines(&r.Study.Base, at)
	return s, nil
}

// joinedWords say what is done with a matte that is taken in, by its name.
var joinedWords = map[study.How]string{
	study.Add:      "%q is added: of the two values the larger counts",
	study.Touching: "%q is added as touching: the two values are summed, up to white",
	study.TakeAway: "%q is taken away",
	study.Within:   "only what lies within %q too is kept",
}

// joinedLines say what a matte takes in, and what that takes in itself.
func joinedLines(s *study.Study, m *study.Matte) (lines []string) {
	for _, of := range append([]*study.Matte{m}, s.JoinedMattes(&m.Settings)...) {
		for _, j := range of.Joins {
			line := fmt.Sprintf(joinedWords[j.How], s.Matte(j.With).Name)
			if of != m {
				line = fmt.Sprintf("in %q %s", of.Name, line)
			}
			lines = append(lines, line)
		}
	}
	return lines
}

// setTimes fills in what a clip with a rate has.
func (s *sheet) setTimes(r *run) {
	rate := r.Study.Clip.Rate
	if rate[0] <= 0 || rate[1] <= 0 {
		return
	}
	s.Rate = strconv.FormatFloat(float64(rate[0])/float64(rate[1]), 'f', -1, 64)
	if rate[1] != 1 {
		s.Rate = fmt.Sprintf("%d/%d (about %.3f)", rate[0], rate[1], float64(rate[0])/float64(rate[1]))
	}
	text := func(frame int) string {
		stated, isStated := r.Renderer.Time(frame)
		seconds, code := frameTime(frame, rate, stated, isStated)
		if code == "" {
			return fmt.Sprintf("%s s", seconds)
		}
		return fmt.Sprintf("%s s (%s)", seconds, code)
	}
	s.FirstTime, s.LastTime = text(s.First), text(s.Last)
}

// baseLines says what a base does at a frame, nil where that is nothing, and
// whether it varies.
func baseLines(b *study.Base, frame int) (lines []string, keyed bool) {
	for _, s := range b.Settings() {
		keyed = keyed || s.Track.Keyed()
	}
	if b.At(frame).IsNeutral() && !keyed {
		return nil, false
	}
	if b.Input != colour.SRGB {
		lines = append(lines, "input "+b.Input.String())
	}
	if b.Water != "" {
		lines = append(lines, "water "+b.Water)
	}
	for _, s := range b.Settings() {
		if v := s.Track.At(frame); v != s.Neutral || s.Track.Keyed() {
			lines = append(lines, strings.TrimSpace(fmt.Sprintf("%s %v %s", s.Label, v, s.Unit)))
		}
	}
	return lines, keyed
}
