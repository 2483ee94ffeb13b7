package contact

import (
	"context"
	"fmt"
	"image"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
)

// Views are those that a sheet of a clip can show.
var Views = []view.View{view.Matte, view.Hatch, view.Trial}

// UsualEvery is how far apart the frames of a sheet are where nobody says: ten frames are less
// than half a second, so that what goes wrong for longer is seen (common practice, no source).
const UsualEvery = 10

// A Clip is a sheet of frames of a clip, all in one view.
type Clip struct {
	Study    *study.Study
	Renderer *render.Renderer
	Matte    *study.Matte // of the study; view.Trial needs none
	View     view.View    // one of Views
	Frames   []int        // by the source's numbers, ascending
	// Progress, if not nil, is called after each frame.
	Progress func(done, total, frame int)
}

// Every returns every n-th of frames, from the first on.
func Every(frames []int, n int) (out []int) {
	for i := 0; i < len(frames); i += n {
		out = append(out, frames[i])
	}
	return out
}

// fewPictures is up to how many prints are drawn large: three rows of three fill a screen.
const fewPictures = 9

// layout is that of a sheet of a clip.
func (c Clip) layout() Layout {
	if len(c.Frames) <= fewPictures {
		return Three
	}
	return Layout{Columns: 5, Width: 320}
}

// Draw renders the frames, one after the other, and returns the sheet.
func (c Clip) Draw(ctx context.Context) (*image.RGBA, error) {
	return Draw(ctx, c.layout(), len(c.Frames), func(i int) (Print, error) {
		p, err := c.print(ctx, c.Frames[i])
		if err == nil && c.Progress != nil {
			c.Progress(i+1, len(c.Frames), c.Frames[i])
		}
		return p, err
	})
}

// print renders one frame, at the detail that the sheet can show.
func (c Clip) print(ctx context.Context, frame int) (Print, error) {
	p := Print{View: c.View, Title: fmt.Sprintf("frame %d", frame)}
	size, err := c.Renderer.Size(ctx, c.Study, frame)
	if err != nil {
		return p, err
	}
	q := render.Request{Study: c.Study, Frame: frame, Factor: view.FullFactor(float64(c.layout().Width) / float64(size.X))}
	if c.View != view.Trial {
		q.Settings, p.Note = &c.Matte.Settings, c.Matte.Name
	}
	p.Layers, err = view.Render(ctx, c.Renderer, q, c.View)
	return p, err
}
