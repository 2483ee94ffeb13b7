package batch

import (
	"context"

	"halocline/app/clip"
	"halocline/app/study"
	"halocline/app/work"
)

var infoVerb = verb{
	name: "info", usage: "PICTURE|MOVIE|FOLDER|STUDY [--sequence] [--matrix NAME] [--range NAME]",
	about: "Say what a picture, a movie, a numbered sequence or a study is: size, depth, profile, noise; mattes and footage; of a movie codec, matrix, range and rate. " +
		"Of a sequence, a folder's or with --sequence a picture's, also which frames are missing, and of all whether they are of one size.",
	examples: []string{"halocline-batch info transect.tif", "halocline-batch info transect", "halocline-batch info transect.halocline"},
	run:      runInfo,
}

type pictureInfo struct {
	Kind string `json:"kind"`
	Path string `json:"path"`
	clip.Info
	First   int        `json:"first"`
	Last    int        `json:"last,omitempty"`
	Count   int        `json:"count"`
	Missing string     `json:"missing,omitempty"` // gaps between first and last
	Noise   [3]float64 `json:"noise"`             // standard deviation in R, G, B of [0,1]
}

type studyInfo struct {
	Kind    string      `json:"kind"`
	Path    string      `json:"path"`
	Footage string      `json:"footage"`
	Found   string      `json:"footageFound"` // "yes", or what is wrong with it
	First   int         `json:"first"`
	Count   int         `json:"count"`
	Noise   [3]float64  `json:"noise"`
	Matrix  string      `json:"matrix,omitempty"` // of a movie's codes, where its tag is overruled
	Range   string      `json:"range,omitempty"`
	Base    baseReport  `json:"base"`
	Mattes  []matteInfo `json:"mattes"`
}

type matteInfo struct {
	ID    int        `json:"id"`
	Name  string     `json:"name"`
	Pick  pickReport `json:"pick"`
	Masks int        `json:"masks"`
	Keep  int        `json:"keepDabs"`
	Drop  int        `json:"dropDabs"`
	// Joins are the mattes that it takes in, in their order.
	Joins       []joinReport `json:"joins,omitempty"`
	NotExported bool         `json:"notExported,omitempty"`
	// Carried says from which clip the matte comes, until it is fitted on this one.
	Carried *carriedInfo `json:"carried,omitempty"`
}

type carriedInfo struct {
	Clip     string   `json:"clip"`
	Stale    bool     `json:"stale"`
	Moved    []string `json:"moved"` // channels in which this clip's colours lie elsewhere
	Shift    float64  `json:"shift"` // of the mean colour after base, in CIEDE2000
	Unlike   float64  `json:"unlike"`
	Sentence string   `json:"sentence"`
}

func reportCarried(m *study.Matte) *carriedInfo {
	c := &m.Carried
	if !c.Is() {
		return nil
	}
	return &carriedInfo{c.From, c.Moved.Any(), movedList(c.Moved.String()), c.Shift, c.Unlike, c.Sentence()}
}

func runInfo(ctx context.Context, c *call) error {
	f := c.newFlags()
	footage := addFootage(f)
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return err
	}
	if work.IsStudy(args[0]) && !*footage.sequence {
		return c.studyInfo(ctx, args[0])
	}
	w, err := c.open(ctx, args[0], footage)
	if err != nil {
		return err
	}
	info := pictureInfo{
		Kind: "picture", Path: args[0], Info: w.Clip.Info(),
		First: w.Study.Clip.First, Count: w.Study.Clip.Count, Noise: w.Study.Clip.Noise,
	}
	if w.Clip.IsSequence() {
		info.Kind, info.Last, info.Missing = "sequence", w.Clip.Last(), clip.SpansText(w.Clip.Missing())
		if err := w.Clip.Check(ctx, w.Clip.Frames()); err != nil {
			return err
		}
	}
	if w.Clip.IsMovie() {
		info.Kind, info.Last = "movie", w.Clip.Last()
	}
	return c.printJSON(info)
}

// studyInfo answers for missing footage too: that is when one asks.
func (c *call) studyInfo(ctx context.Context, path string) error {
	s, err := study.Load(path)
	if err != nil {
		return err
	}
	c.tellUnknown(work.UnknownFields(path, s.Unknown()))
	info := studyInfo{
		Kind: "study", Path: path, Footage: s.Clip.Path, Found: "yes",
		First: s.Clip.First, Count: s.Clip.Count, Noise: s.Clip.Noise, Matrix: s.Clip.Matrix, Range: s.Clip.Range,
		Base: reportBase(s, s.Clip.First), Mattes: []matteInfo{},
	}
	if err := s.Clip.CheckFootage(ctx); err != nil {
		info.Found = oneLine(err)
	}
	for _, m := range s.Mattes {
		keep := 0
		for _, d := range m.Dabs {
			if d.Kind == study.Keep {
				keep++
			}
		}
		info.Mattes = append(info.Mattes, matteInfo{
			ID: m.ID, Name: m.Name, Pick: reportPick(m.Pick.At(s.Clip.First)),
			Masks: len(m.Masks), Keep: keep, Drop: len(m.Dabs) - keep,
			Joins: reportJoins(s, m.Joins), NotExported: m.NotExported, Carried: reportCarried(&m),
		})
	}
	return c.printJSON(info)
}
