package batch

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"halocline/app/export"
	"halocline/app/render"
	"halocline/app/sample"
	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
	"halocline/selection"
)

var sampleVerb = verb{
	name: "sample", usage: "DIR [--seed N] [--size WxH] [--frames N]",
	about: "Write the demo scene into DIR: a frame, true mattes of skin, sand and water, masks of what to keep and drop for each, " +
		"and a study with fitted mattes. With --frames a sequence with the true mattes of every frame; dabs lie on the first, middle and last, and the skin's masks have six keys. Prints where the grey slate and open water lie, for base.",
	examples: []string{"halocline-batch sample scene --seed 3", "halocline-batch sample scene --size 1920x1080"},
	run:      runSample,
}

// sampleClasses are what the scene has true mattes of.
var sampleClasses = []struct {
	name  string
	class sample.Class
}{{"skin", sample.Skin}, {"sand", sample.Sand}, {"water", sample.Water}}

// dropDabs is how many places to drop a matte of the scene is given: one on each
// of the other classes, as a person would begin.
const dropDabs = 3

// defaultModel is what a matte's ranges are of until it is fitted.
const defaultModel = selection.LCh

// A sampleReport says where things lie, as X,Y,R of the flags that take them.
type sampleReport struct {
	Folder  string   `json:"folder"`
	Study   string   `json:"study"`
	Frame   string   `json:"frame"` // the first
	Frames  int      `json:"frames,omitempty"`
	Seed    int      `json:"seed"`
	Width   int      `json:"width"`
	Height  int      `json:"height"`
	Slate   string   `json:"slate"`
	Water   string   `json:"openWater"`
	Mattes  []string `json:"mattes"`
	Written []string `json:"written"`
}

func runSample(ctx context.Context, c *call) error {
	f := c.newFlags()
	seed := f.Int("seed", 1, "which scene")
	s := size{sample.Width, sample.Height}
	f.Var(&s, "size", "of the frame, WxH")
	count := framesFlag(f, 1)
	args, err := c.parse(f, 1, 1)
	if err == nil {
		err = checkFrames(*count)
	}
	if err != nil {
		return err
	}
	set, err := makeSample(ctx, args[0], "sample", *seed, s, *count)
	if err != nil {
		return err
	}
	if err := set.save(); err != nil {
		return err
	}
	names := []string{}
	for _, m := range set.study.Mattes {
		names = append(names, m.Name)
	}
	if *count == 1 {
		*count = 0 // a still has none to count
	}
	return c.printJSON(sampleReport{
		Frames: *count, Folder: args[0], Study: set.studyPath, Frame: set.framePath, Seed: *seed, Width: s.w, Height: s.h,
		Slate: spotFlag(set.frame.Slate), Water: spotFlag(set.frame.OpenWater), Mattes: names, Written: set.written,
	})
}

// framesFlag is how many frames of the scene are made.
func framesFlag(f *flag.FlagSet, usual int) *int {
	return f.Int("frames", usual, fmt.Sprintf("how many, 1 to %d", sample.Frames))
}

func checkFrames(n int) error {
	if n < 1 || n > sample.Frames {
		return misuse("--frames is %d, want 1 to %d", n, sample.Frames)
	}
	return nil
}

func spotFlag(s sample.Spot) string { return fmt.Sprintf("%.0f,%.0f,%.0f", s.X, s.Y, s.Radius) }

// A sampleSet is a written scene with its study.
type sampleSet struct {
	folder      string
	seed        int
	clip        *sample.Clip
	frame       *sample.Frame // the first
	frames      []int         // that are recorded
	annotations []annotation  // of each of them
	framePath   string
	studyPath   string
	study       *study.Study
	renderer    *render.Renderer
	written     []string // relative to the folder
}

// makeSample computes a scene, writes count frames of it, their truth and the first
// one's masks, and fits a matte to each class. The study is not saved yet.
func makeSample(ctx context.Context, folder, name string, seed int, s size, count int) (*sampleSet, error) {
	set, err := beginSample(ctx, folder, name, seed, s)
	if err != nil {
		return nil, err
	}
	if err := set.record(ctx, firstFrames(count)); err != nil {
		return nil, err
	}
	return set, set.compose(ctx)
}

// firstFrames returns the numbers from 1 to count.
func firstFrames(count int) []int {
	out := make([]int, count)
	for i := range out {
		out[i] = 1 + i
	}
	return out
}

// beginSample computes a scene and writes its first frame with its truth and the
// masks of its dabs.
func beginSample(ctx context.Context, folder, name string, seed int, s size) (*sampleSet, error) {
	if err := ownFolder(folder, name+study.Ending); err != nil {
		return nil, err
	}
	scene, err := sample.NewClip(ctx, seed, s.w, s.h)
	if err != nil {
		return nil, err
	}
	frame, err := scene.Frame(ctx, 1, 0)
	if err != nil {
		return nil, err
	}
	set := &sampleSet{folder: folder, seed: seed, clip: scene, frame: frame, studyPath: filepath.Join(folder, name+study.Ending)}
	if err := set.write(frameName(1), encodeFrame(frame)); err != nil {
		return nil, err
	}
	seen, err := annotationOf(frame, seed, true)
	if err != nil {
		return nil, err
	}
	set.frames, set.annotations = []int{1}, []annotation{seen}
	for i, c := range sampleClasses {
		if err := set.writeClass(c.name, set.truths()[i], set.annotations[0].dabs[i]); err != nil {
			return nil, err
		}
	}
	return set, nil
}

// compose opens the frames that are there, and fits a matte to each class by
// what is seen on them.
func (set *sampleSet) compose(ctx context.Context) error {
	if err := set.open(ctx, len(set.frames)); err != nil {
		return err
	}
	set.addMattes()
	return set.fit(ctx)
}

func (set *sampleSet) addMattes() {
	for i := range sampleClasses {
		set.addAnnotations(i)
	}
}

func frameName(n int) string { return fmt.Sprintf("frames/%06d.png", n) }

func truthName(class string, n int) string { return fmt.Sprintf("truth/%s.%06d.png", class, n) }

func encodeFrame(f *sample.Frame) func(io.Writer) error {
	return func(w io.Writer) error { return export.EncodeRGB(w, f.Image, 8) }
}

func encodeTruth(truth colour.Plane) func(io.Writer) error {
	return func(w io.Writer) error { return export.EncodeGrey(w, truth, 16) }
}

// open opens what was written, as a sequence where it is one.
func (set *sampleSet) open(ctx context.Context, count int) error {
	set.framePath = filepath.Join(set.folder, "frames", "000001.png")
	open := work.OpenPicture
	if count > 1 {
		open = work.OpenSequence
	}
	w, err := open(ctx, set.framePath)
	if err != nil {
		return err
	}
	if found := w.Clip.Count(); found != count {
		return fmt.Errorf("batch: %s has %d frames, want the %d that were written: choose another folder", filepath.Dir(set.framePath), found, count)
	}
	set.study, set.renderer = w.Study, w.Renderer
	return nil
}

// ownFolder returns an error unless a folder is new, empty, or one that a scene
// was written to before and whose study nobody has changed since: a scene
// replaces nobody's work.
func ownFolder(folder, name string) error {
	list, err := os.ReadDir(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist) || err == nil && len(list) == 0:
		return nil
	case err != nil:
		return fmt.Errorf("batch: %s cannot be looked at: %w", folder, err)
	}
	s, err := study.Load(filepath.Join(folder, name))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("batch: %s has other files, want a new or empty folder", folder)
	case err != nil || !untouched(s):
		return fmt.Errorf("batch: %s was changed since the scene was written there: choose another folder, or remove this one", filepath.Join(folder, name))
	}
	return nil
}

// A mark is what a scene's study carries to tell whether it was changed: a
// digest of all the rest of it.
type mark struct {
	Scene string `json:"scene"`
}

func sceneMark(s *study.Study) (m mark, err error) {
	bare := s.Clone()
	bare.Extra, bare.Clip.Path = "", "scene"
	h := sha256.New()
	err = study.Encode(h, bare)
	return mark{hex.EncodeToString(h.Sum(nil))}, err
}

// untouched reports whether a scene's study is as it was written.
func untouched(s *study.Study) bool {
	var has mark
	want, err := sceneMark(s)
	return err == nil && json.Unmarshal([]byte(s.Extra), &has) == nil && has == want
}

// save writes the scene's study.
func (set *sampleSet) save() error {
	m, err := sceneMark(set.study)
	if err != nil {
		return err
	}
	text, err := json.Marshal(m)
	if err != nil {
		return err
	}
	set.study.Extra = string(text)
	return study.Save(set.studyPath, set.study)
}

// truths are the first frame's true mattes in the order of sampleClasses.
func (set *sampleSet) truths() [3]colour.Plane { return truthsOf(set.frame) }

func truthsOf(f *sample.Frame) [3]colour.Plane { return [3]colour.Plane{f.Skin, f.Sand, f.Water} }

func (set *sampleSet) write(name string, encode func(io.Writer) error) error {
	set.written = append(set.written, name)
	return set.put(name, encode)
}

// put writes a file that the report names already.
func (set *sampleSet) put(name string, encode func(io.Writer) error) error {
	return export.WriteFile(filepath.Join(set.folder, filepath.FromSlash(name)), encode)
}

func (set *sampleSet) writeClass(class string, truth colour.Plane, dabs sample.Dabs) error {
	if err := set.write(truthName(class, 1), encodeTruth(truth)); err != nil {
		return err
	}
	for _, m := range []struct {
		ending string
		discs  []sample.Disc
	}{{".keep.png", dabs.Keep}, {".drop.png", dabs.Drop}} {
		mask := colour.NewPlane(truth.W, truth.H)
		for _, d := range m.discs {
			for _, p := range render.DiscPixels(d.X, d.Y, d.Radius, truth.W, truth.H) {
				mask.Pix[p] = 1
			}
		}
		if err := set.write(class+m.ending, func(w io.Writer) error { return export.EncodeGrey(w, mask, 8) }); err != nil {
			return err
		}
	}
	return nil
}

func (set *sampleSet) addMatte(class string, dabs sample.Dabs) *study.Matte {
	m := set.study.AddMatte(class, defaultModel)
	set.addDabs(m, set.study.Clip.First, dabs)
	return m
}

// fit sets every matte's pick from its dabs, through the base as it stands.
func (set *sampleSet) fit(ctx context.Context) error {
	for i := range set.study.Mattes {
		m := &set.study.Mattes[i]
		dabs, err := set.renderer.DabSamples(ctx, set.study, m)
		if err != nil {
			return err
		}
		fitted, err := selection.FitAuto(dabs)
		if err != nil {
			return fmt.Errorf("batch: matte %q: %w", m.Name, err)
		}
		m.Pick.TakeFit(fitted.Pick)
	}
	return nil
}
