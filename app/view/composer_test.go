package view

import (
	"context"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/selection"
)

// scene returns layers of w x h samples: smooth shades with noise, a matte with
// hard and soft borders, all reasons.
func scene(r *rand.Rand, region image.Rectangle, factor int) Layers {
	w, h := (region.Dx()+factor-1)/factor, (region.Dy()+factor-1)/factor
	l := Layers{Region: region, Factor: factor, Shown: colour.NewImage(w, h), Trial: colour.NewImage(w, h), Matte: &colour.Plane{}}
	l.Matte.Reshape(w, h)
	for y := range h {
		for x := range w {
			i := y*w + x
			l.Shown.R.Pix[i] = float32(x)/float32(w) + float32(r.NormFloat64())*0.02
			l.Shown.G.Pix[i] = float32(y)/float32(h) + float32(r.NormFloat64())*0.02
			l.Shown.B.Pix[i] = r.Float32()
			l.Trial.R.Pix[i] = 1 - l.Shown.R.Pix[i]
			l.Matte.Pix[i] = min(max(float32(math.Sin(float64(x)/9)*math.Cos(float64(y)/7)*2+0.5), 0), 1)
			l.Reasons = append(l.Reasons, selection.Reason((x/7+y/5+r.IntN(5)/4)%selection.ReasonCount))
			l.Beyond = append(l.Beyond, x > 2*w/3 && y > h/3)
		}
	}
	return l
}

// twin is what Compose gives, as its definition has it: one pixel of one view in
// real numbers, of 255.
func twin(l Layers, v Viewport, view View, sx, sy int) [3]float64 {
	ox, oy := v.origin()
	x, y := (float64(sx)+0.5-ox)/v.Zoom, (float64(sy)+0.5-oy)/v.Zoom
	if x < 0 || y < 0 || x >= float64(v.W) || y >= float64(v.H) {
		return [3]float64{64, 64, 64}
	}
	factor := float64(l.Factor)
	u, w := (x-float64(l.Region.Min.X))/factor, (y-float64(l.Region.Min.Y))/factor
	at := func(p *colour.Plane) float64 { return twinSample(p, u, w, v.Zoom, factor) }
	var shown, out [3]float64
	from := l.Shown
	if view == Trial {
		from = l.Trial
	}
	for c, p := range []*colour.Plane{&from.R, &from.G, &from.B} {
		shown[c] = 255 * at(p)
	}
	a := at(l.Matte)
	near := int(min(max(w, 0), float64(l.Matte.H-1)))*l.Matte.W + int(min(max(u, 0), float64(l.Matte.W-1)))
	for c, s := range shown {
		switch view {
		case Frame, Trial:
			out[c] = s
		case Matte:
			out[c] = 255 * a
		case Hatch:
			out[c] = s
			if (sx+sy)%6 == 0 {
				out[c] = s * (1 - 0.5*(1-a))
			}
			if (sx+sy)%6 == 1 {
				out[c] = s + 0.2*(1-a)*(255-s)
			}
		case Cutout:
			under := 33.0
			if row := sy / 4; sy%4 == 1 && (sx+6*(row%2))%12 < 5 {
				under = 47
			}
			out[c] = a*s + (1-a)*under
		case Reasons:
			out[c] = s
			if r := twinReason(l, near); r != selection.In {
				out[c] = 20 + 30*(shown[0]+shown[1]+shown[2])/256
				if marked(r, sx, sy+16*reasonsTile) {
					out[c] += 36
				}
			}
		}
	}
	return out
}

// twinReason is the reason that is drawn for sample i: that of most of the
// rejected ones around it, its own where others are not more.
func twinReason(l Layers, i int) selection.Reason {
	w, own := l.Matte.W, l.Reasons[i]
	reach := []int{0, 2, 1, 1}[l.Factor]
	var count [selection.ReasonCount]int
	for y := max(i/w-reach, 0); y <= min(i/w+reach, l.Matte.H-1); y++ {
		for x := max(i%w-reach, 0); x <= min(i%w+reach, w-1); x++ {
			count[l.Reasons[y*w+x]]++
		}
	}
	best := own
	for r := selection.ByHue; own != selection.In && r <= selection.ByFound; r++ {
		if count[r] > count[best] {
			best = r
		}
	}
	return best
}

// twinSample is a plane about (u,w), in samples: the sample itself where pixels
// are crisp, else the mean over a box.
func twinSample(p *colour.Plane, u, w, zoom, factor float64) float64 {
	get := func(x, y float64) float64 {
		v := float64(p.At(int(min(max(x, 0), float64(p.W-1))), int(min(max(y, 0), float64(p.H-1)))))
		return min(max(v, 0), 1)
	}
	if zoom >= 1 && zoom*factor >= 1 {
		return get(math.Floor(u), math.Floor(w))
	}
	u, w = min(max(u, 0), float64(p.W)), min(max(w, 0), float64(p.H))
	half := max(1/(zoom*factor), 1) / 2
	overlap := func(at, i float64) float64 { return max(0, min(at+half, i+1)-max(at-half, i)) }
	var sum float64
	for y := math.Floor(w - half); y < w+half; y++ {
		for x := math.Floor(u - half); x < u+half; x++ {
			sum += overlap(u, x) * overlap(w, y) * get(x, y)
		}
	}
	return sum / (4 * half * half)
}

func compose(t testing.TB, c *Composer, v Viewport, left, right View, divider float64, l Layers, workers int) *image.RGBA {
	t.Helper()
	dst := image.NewRGBA(image.Rect(0, 0, v.VW, v.VH))
	for i := range dst.Pix {
		dst.Pix[i] = 17
	}
	require.NoError(t, c.Compose(t.Context(), dst, v, left, right, divider, l, workers))
	return dst
}

func TestComposeIsItsDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	var c Composer
	for n := range 60 {
		v := fitted(40+r.IntN(200), 40+r.IntN(150), 60+r.IntN(60), 40+r.IntN(60))
		zooms := []float64{v.Zoom, 1, 2, 3, 5, 1.37, 0.5, 0.31, 0.77}
		v = v.ZoomedAt(float64(r.IntN(v.VW)), float64(r.IntN(v.VH)), zooms[n%len(zooms)]).Panned(r.Float64()*40-20, r.Float64()*40-20)
		factor := 1 + r.IntN(3)
		region := v.Visible().Inset(r.IntN(12) - 8).Intersect(image.Rect(0, 0, v.W, v.H))
		if region.Empty() {
			continue
		}
		l := scene(r, region, factor)
		l.Beyond = nil
		for _, view := range All {
			got := compose(t, &c, v, view, 0, -1, l, 2)
			for y := range v.VH {
				for x := range v.VW {
					want, p := twin(l, v, view, x, y), got.RGBAAt(x, y)
					for i, v := range [3]uint8{p.R, p.G, p.B} {
						if math.Abs(want[i]-float64(v)) > 1.6 {
							t.Fatalf("view %v at (%d,%d), channel %d: %d, want %.2f; factor %d, region %v, samples %dx%d",
								view, x, y, i, v, want[i], factor, region, l.Matte.W, l.Matte.H)
						}
					}
					require.EqualValues(t, 255, p.A)
				}
			}
		}
	}
}

// At 100 % with all samples there, a view is the picture's own 8-bit codes.
func TestWholePixelsAreExact(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 16))
	l := scene(r, image.Rect(0, 0, 50, 40), 1)
	l.Beyond = nil
	var c Composer
	for _, n := range []int{1, 2, 3, 8, 16} {
		v := fitted(50, 40, 64, 48).ZoomedAt(20, 30, float64(n))
		got := compose(t, &c, v, Frame, 0, -1, l, 2)
		ox, oy := v.origin()
		want := l.Shown.RGBA(nil)
		for y := range v.VH {
			for x := range v.VW {
				px, py := floorDiv(x-int(math.Round(ox)), n), floorDiv(y-int(math.Round(oy)), n)
				if image.Pt(px, py).In(want.Rect) {
					require.Equal(t, want.RGBAAt(px, py), got.RGBAAt(x, y), "%dx at %d %d", n, x, y)
				} else {
					require.EqualValues(t, 64, got.RGBAAt(x, y).R)
				}
			}
		}
	}
}

func floorDiv(a, b int) int { return int(math.Floor(float64(a) / float64(b))) }

func TestCompareIsTwoViewsSideBySide(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 18))
	v := fitted(90, 60, 120, 70)
	l := scene(r, image.Rect(0, 0, 90, 60), 2)
	var c Composer
	for _, left := range All {
		for _, right := range All {
			a, b := compose(t, &c, v, left, 0, -1, l, 1), compose(t, &c, v, right, 0, math.NaN(), l, 1)
			for _, at := range []float64{0, 37.4, 120, 1e9} {
				got := compose(t, &c, v, left, right, at, l, 2)
				edge := int(math.Round(min(at, 120)))
				for y := range v.VH {
					for x := range v.VW {
						want := a
						if x >= edge {
							want = b
						}
						require.Equal(t, want.RGBAAt(x, y), got.RGBAAt(x, y), "%v|%v at %v: %d %d", left, right, at, x, y)
					}
				}
			}
		}
	}
}

func TestComposeGivesTheSameBytesForAnyWorkersAndFromWhatItKeeps(t *testing.T) {
	r := rand.New(rand.NewPCG(19, 20))
	l := scene(r, image.Rect(0, 0, 300, 200), 2)
	v := fitted(300, 200, 260, 190)
	var kept Composer
	for _, view := range All {
		want := compose(t, new(Composer), v, view, 0, -1, l, 1)
		for _, workers := range []int{1, 2, 7} {
			assert.Equal(t, want.Pix, compose(t, new(Composer), v, view, 0, -1, l, workers).Pix)
			assert.Equal(t, want.Pix, compose(t, &kept, v, view, 0, -1, l, workers).Pix, "%v", view)
		}
	}
	// a new matte, a new picture, a new viewport: nothing old shows
	other := scene(r, image.Rect(0, 0, 300, 200), 2)
	l.Matte = other.Matte
	assert.Equal(t, compose(t, new(Composer), v, Hatch, 0, -1, l, 1).Pix, compose(t, &kept, v, Hatch, 0, -1, l, 2).Pix)
	l.Shown = other.Shown
	assert.Equal(t, compose(t, new(Composer), v, Hatch, 0, -1, l, 1).Pix, compose(t, &kept, v, Hatch, 0, -1, l, 2).Pix)
	v = v.Panned(20, 10)
	assert.Equal(t, compose(t, new(Composer), v, Hatch, 0, -1, l, 1).Pix, compose(t, &kept, v, Hatch, 0, -1, l, 2).Pix)
}

func TestCancelledComposeKeepsNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	l := scene(r, image.Rect(0, 0, 90, 60), 1)
	v := fitted(90, 60, 120, 70)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var c Composer
	dst := image.NewRGBA(image.Rect(0, 0, 120, 70))
	require.ErrorIs(t, c.Compose(ctx, dst, v, Hatch, 0, -1, l, 2), context.Canceled)
	assert.Equal(t, compose(t, new(Composer), v, Hatch, 0, -1, l, 1).Pix, compose(t, &c, v, Hatch, 0, -1, l, 1).Pix)
}

func TestPlusSignsMarkWhatIsBeyond(t *testing.T) {
	l := scene(rand.New(rand.NewPCG(23, 24)), image.Rect(0, 0, 90, 60), 1)
	for i := range l.Shown.R.Pix {
		l.Shown.R.Pix[i], l.Shown.G.Pix[i], l.Shown.B.Pix[i] = 0, 0, 0
		l.Beyond[i] = i%90 >= 30 && i/90 >= 20
	}
	v := fitted(90, 60, 90, 60)
	m := compose(t, new(Composer), v, Frame, 0, -1, l, 2)
	for y := range 60 {
		for x := range 90 {
			dx, dy := x%10-5, y%10-5
			want := uint8(0)
			if x >= 30 && y >= 20 && (dx == 0 && dy >= -2 && dy <= 2 || dy == 0 && dx >= -2 && dx <= 2) {
				want = 0xec
			}
			require.Equal(t, want, m.RGBAAt(x, y).R, "%d %d", x, y)
		}
	}
}

func TestComposeOfOddLayers(t *testing.T) {
	nan := float32(math.NaN())
	one := &colour.Image{R: colour.NewPlane(1, 1), G: colour.NewPlane(1, 1), B: colour.NewPlane(1, 1)}
	one.R.Pix[0], one.G.Pix[0], one.B.Pix[0] = nan, float32(math.Inf(1)), -3
	matte := colour.NewPlane(1, 1)
	l := Layers{Region: image.Rect(0, 0, 1, 1), Factor: 1, Shown: one, Trial: one, Matte: &matte, Reasons: []selection.Reason{9}, Beyond: []bool{true}}
	for _, zoom := range []float64{0.04, 0.7, 1, 3.3, 16} {
		v := fitted(1, 1, 50, 40).ZoomedAt(25, 20, zoom)
		for _, view := range All {
			compose(t, new(Composer), v, view, Matte, 20, l, 2)
		}
	}
	v := fitted(200, 100, 50, 40) // far fewer samples than the picture
	m := compose(t, new(Composer), v, Frame, 0, -1, l, 2)
	assert.EqualValues(t, 255, m.RGBAAt(21, 21).G)
	v.X = 1e6 // beside the view
	m = compose(t, new(Composer), v, Frame, 0, -1, l, 2)
	assert.EqualValues(t, 64, m.RGBAAt(25, 20).G)
	compose(t, new(Composer), Viewport{VW: 5, VH: 4}, Frame, 0, -1, Layers{}, 2) // no picture yet
}

func TestComposeSaysWhatIsMissing(t *testing.T) {
	r := rand.New(rand.NewPCG(25, 26))
	v := fitted(20, 10, 40, 30)
	whole := scene(r, image.Rect(0, 0, 20, 10), 1)
	for want, spoil := range map[string]func(l *Layers) View{
		"view: Hatch needs a matte, found none":                                       func(l *Layers) View { l.Matte = nil; return Hatch },
		"view: Frame needs a picture, found none":                                     func(l *Layers) View { l.Shown = nil; return Frame },
		"view: Trial needs a graded picture, found none":                              func(l *Layers) View { l.Trial = nil; return Trial },
		"view: Reasons needs 200 reasons, found 3":                                    func(l *Layers) View { l.Reasons = l.Reasons[:3]; return Reasons },
		"view: marks of what is beyond repair are 7, want 200":                        func(l *Layers) View { l.Beyond = l.Beyond[:7]; return Frame },
		"view: a matte has 3 x 2 samples, want 20 x 10 as the other layers":           func(l *Layers) View { l.Matte.Reshape(3, 2); return Cutout },
		"view: a matte is empty":                                                      func(l *Layers) View { l.Matte.Reshape(0, 0); return Matte },
		"view: layers cover (0,0)-(20,10) at factor 0, want some pixels at 1 or more": func(l *Layers) View { l.Factor = 0; return Matte },
		"view: there is no view 9":                                                    func(l *Layers) View { return 9 },
	} {
		l := whole
		l.Matte = &colour.Plane{W: 20, H: 10, Pix: whole.Matte.Pix}
		view := spoil(&l)
		dst := image.NewRGBA(image.Rect(0, 0, 40, 30))
		err := new(Composer).Compose(t.Context(), dst, v, view, 0, -1, l, 1)
		assert.EqualError(t, err, want)
		assert.Equal(t, make([]uint8, len(dst.Pix)), dst.Pix, "untouched")
	}
	err := new(Composer).Compose(t.Context(), image.NewRGBA(image.Rect(0, 0, 4, 3)), v, Frame, 0, -1, whole, 1)
	assert.EqualError(t, err, "view: a view of 40 x 30 pixels into a picture of (0,0)-(4,3)")
}

// The view of the look at 1920 x 1080, from a half-size proxy of a frame in HD.
func BenchmarkCompose(b *testing.B) {
	l := scene(rand.New(rand.NewPCG(1, 1)), image.Rect(0, 0, 1920, 1080), 2)
	l.Beyond = nil
	v := fitted(1920, 1080, 1480, 832)
	dst := image.NewRGBA(image.Rect(0, 0, 1480, 832))
	for _, view := range All {
		for _, first := range []bool{true, false} {
			name := fmt.Sprintf("%v/again", view)
			if first {
				name = fmt.Sprintf("%v/first", view)
			}
			b.Run(name, func(b *testing.B) {
				var c Composer
				for b.Loop() {
					if first {
						c.shown.of, c.trial.of, c.why.of = nil, nil, nil
					}
					if err := c.Compose(b.Context(), dst, v, view, 0, -1, l, 0); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
	b.Run("Hatch/zoomed 2x", func(b *testing.B) {
		var c Composer
		v := v.ZoomedAt(700, 400, 2)
		for b.Loop() {
			c.shown.of = nil
			if err := c.Compose(b.Context(), dst, v, Hatch, 0, -1, l, 0); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("Hatch/plain twin, one row in 16", func(b *testing.B) {
		for b.Loop() {
			for y := 0; y < v.VH; y += 16 {
				for x := range v.VW {
					p := twin(l, v, Hatch, x, y)
					i := dst.PixOffset(x, y)
					dst.Pix[i], dst.Pix[i+1], dst.Pix[i+2] = uint8(p[0]), uint8(p[1]), uint8(p[2])
				}
			}
		}
	})
}
