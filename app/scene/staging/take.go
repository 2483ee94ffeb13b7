package staging

import (
	"context"
	"fmt"
	"io"
	"path/filepath"

	"halocline/app/export"
	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/colour"
)

// A Take is frames of the scene, recorded in a folder, and a study of them.
type Take struct {
	Frame    *scene.Frame // the first
	Frames   []int        // the numbers of all that are recorded
	Written  []string     // the files, relative to the folder
	Study    *study.Study // not saved
	Renderer *render.Renderer

	folder      string
	seed        int
	footage     footage
	annotations []annotation // of each frame
}

// A footage gives the frames of the scene, the same for any number of workers (0 = one
// for each processor).
type footage interface {
	Frame(ctx context.Context, frame, workers int) (*scene.Frame, error)
}

// classes are what the scene has true mattes of, and its study mattes.
var classes = []struct {
	name  string
	class scene.Class
}{{"skin", scene.Skin}, {"sand", scene.Sand}, {"water", scene.Water}}

// truthsOf returns a frame's true mattes in the order of classes.
func truthsOf(f *scene.Frame) [3]colour.Plane { return [3]colour.Plane{f.Skin, f.Sand, f.Water} }

// Make records the first count frames of a seed's scene, at w x h pixels, in a
// folder, and fits a matte to each class. Files of these names that are there are
// replaced; more frames than it wrote are an error.
func Make(ctx context.Context, folder string, seed, w, h, count int) (*Take, error) {
	t, err := begin(ctx, folder, seed, w, h)
	if err != nil {
		return nil, err
	}
	if err := t.record(ctx, firstFrames(count)); err != nil {
		return nil, err
	}
	return t, t.compose(ctx)
}

// Extend goes on to the first count frames, and makes the study anew, of all of
// them: with its base, and for the skin the edge that a clip wants.
func (t *Take) Extend(ctx context.Context, count int) error {
	if err := t.record(ctx, firstFrames(count)); err != nil {
		return err
	}
	return t.composeClip(ctx)
}

// firstFrames returns the numbers from 1 to count.
func firstFrames(count int) []int {
	out := make([]int, count)
	for i := range out {
		out[i] = 1 + i
	}
	return out
}

// begin begins a take of a seed's scene at w x h pixels.
func begin(ctx context.Context, folder string, seed, w, h int) (*Take, error) {
	clip, err := scene.NewClip(ctx, seed, w, h)
	if err != nil {
		return nil, err
	}
	return beginOn(ctx, clip, folder, seed)
}

// beginOn writes the first frame of the footage of a seed with its truth and the masks
// of its dabs.
func beginOn(ctx context.Context, of footage, folder string, seed int) (*Take, error) {
	frame, err := of.Frame(ctx, 1, 0)
	if err != nil {
		return nil, err
	}
	t := &Take{folder: folder, seed: seed, footage: of, Frame: frame}
	if err := t.write(frameName(1), encodeFrame(frame)); err != nil {
		return nil, err
	}
	first, err := annotationOf(frame, seed, true)
	if err != nil {
		return nil, err
	}
	t.Frames, t.annotations = []int{1}, []annotation{first}
	for i, truth := range truthsOf(frame) {
		if err := t.write(truthName(classes[i].name, 1), encodeTruth(truth)); err != nil {
			return nil, err
		}
		if err := t.writeDabs(t.write, i, 1, first.dabs[i]); err != nil {
			return nil, err
		}
	}
	return t, nil
}

// record draws the rest of the frames, of which the first is there already, as
// many at once as there are processors, and writes them with their truth, and the
// masks of the dabs that the study has on any of them.
func (t *Take) record(ctx context.Context, frames []int) error {
	for _, n := range frames[1:] {
		t.Written = append(t.Written, frameName(n))
		for _, c := range classes {
			t.Written = append(t.Written, truthName(c.name, n))
		}
	}
	if len(frames) > 1 {
		if err := t.annotations[0].dabSkin(t.Frame, t.seed); err != nil {
			return err
		}
		if err := t.writeDabs(t.put, 0, 1, t.annotations[0].dabs[0]); err != nil {
			return err
		}
	}
	t.Frames = frames
	t.annotations = append(t.annotations[:1], make([]annotation, len(frames)-1)...)
	if err := atOnce(ctx, 1, len(frames)-1, t.recordOne); err != nil {
		return err
	}
	return t.writeLaterDabs()
}

// writeLaterDabs writes the masks of the dabs on frames after the first.
func (t *Take) writeLaterDabs() error {
	for i, a := range t.annotations {
		if i == 0 {
			continue
		}
		for class, dabs := range a.dabs {
			if err := t.writeDabs(t.write, class, t.Frames[i], dabs); err != nil {
				return err
			}
		}
	}
	return nil
}

// recordOne draws, writes and annotates the i-th frame.
func (t *Take) recordOne(ctx context.Context, i int) error {
	n := t.Frames[i]
	frame, err := t.footage.Frame(ctx, n, 1)
	if err != nil {
		return err
	}
	if err := t.put(frameName(n), encodeFrame(frame)); err != nil {
		return err
	}
	for c, truth := range truthsOf(frame) {
		if err := t.put(truthName(classes[c].name, n), encodeTruth(truth)); err != nil {
			return err
		}
	}
	// Another draw on every frame: nobody dabs in the same places twice.
	// Where a class has no room for them there are those of the first frame.
	a, _ := annotationOf(frame, t.seed+n-1, marked(i, len(t.Frames)))
	if a.dabs != nil {
		_ = a.dabSkin(frame, t.seed+n-1)
	}
	t.annotations[i] = a
	return nil
}

// FramePath returns the first frame's file.
func (t *Take) FramePath() string { return t.path(frameName(1)) }

func frameName(n int) string { return fmt.Sprintf("frames/%06d.png", n) }

func truthName(class string, n int) string { return fmt.Sprintf("truth/%s.%06d.png", class, n) }

// dabsName is the mask picture of dabs of a class on a frame. That of the first frame
// goes without its number: a still has no other.
func dabsName(class string, n int, kind study.Kind) string {
	if n == 1 {
		return fmt.Sprintf("%s.%s.png", class, kind)
	}
	return fmt.Sprintf("%s.%06d.%s.png", class, n, kind)
}

func (t *Take) path(name string) string { return filepath.Join(t.folder, filepath.FromSlash(name)) }

func encodeFrame(f *scene.Frame) func(io.Writer) error {
	return func(w io.Writer) error { return export.EncodeRGB(w, f.Image, 8) }
}

func encodeTruth(truth colour.Plane) func(io.Writer) error {
	return func(w io.Writer) error { return export.EncodeGrey(w, truth, 16) }
}

// write writes a file and adds it to those that were written.
func (t *Take) write(name string, encode func(io.Writer) error) error {
	t.Written = append(t.Written, name)
	return t.put(name, encode)
}

// put writes a file that is among Written already.
func (t *Take) put(name string, encode func(io.Writer) error) error {
	return export.WriteFile(t.path(name), encode)
}

// writeDabs writes the dabs of the i-th class on a frame, as the mask pictures that a
// fit on the command line takes; none where there is nothing to keep or to drop.
func (t *Take) writeDabs(write func(string, func(io.Writer) error) error, class, frame int, dabs scene.Dabs) error {
	for _, m := range []struct {
		kind  study.Kind
		discs []scene.Disc
	}{{study.Keep, dabs.Keep}, {study.Drop, dabs.Drop}} {
		if len(m.discs) == 0 {
			continue
		}
		discs := colour.NewPlane(t.Frame.Skin.W, t.Frame.Skin.H)
		for _, d := range m.discs {
			for _, p := range render.DiscPixels(d.X, d.Y, d.Radius, discs.W, discs.H) {
				discs.Pix[p] = 1
			}
		}
		if err := write(dabsName(classes[class].name, frame, m.kind), func(w io.Writer) error { return export.EncodeGrey(w, discs, 8) }); err != nil {
			return err
		}
	}
	return nil
}
