//go:build unix

package ui

import (
	"context"
	"image"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/flash"
	"halocline/app/view"
)

// spent is how long this program has kept processors busy.
func spent() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkPlayPicture is what one picture of a clip that plays takes besides
// decoding: the engine's part of a new frame, composing and slowing flashes. cpu-ms is
// what it keeps processors busy for, which tells more than the time on a machine
// with other work.
func BenchmarkPlayPicture(b *testing.B) {
	for _, v := range []view.View{view.Frame, view.Matte, view.Hatch, view.Cutout} {
		for _, smooth := range []bool{true, false} {
			name := v.String()
			if !smooth {
				name += " unsmoothed"
			} else if v == view.Frame {
				continue
			}
			b.Run(name, func(b *testing.B) {
				p, request := benchRequest(b, 1920, 1080, 940, 592)
				request.Left, request.Right = v, v
				request.Settings.Pick.Smooth = smooth
				dst := image.NewRGBA(image.Rect(0, 0, 940, 592))
				factor := view.QuickFactor(request.Vp.Visible(), view.FullFactor(request.Vp.Zoom))
				var c flash.Limiter
				begun := spent()
				for b.Loop() {
					request.Frame++
					_, err := request.Renderer.Source(context.Background(), request.Study, request.Frame)
					require.NoError(b, err)
					l, err := p.Layers(context.Background(), request, factor, true)
					require.NoError(b, err)
					require.NoError(b, p.Composer.Compose(context.Background(), dst, request.Vp, request.Left, request.Right, request.Divider, l, 0))
					c.Limit(dst, time.Duration(request.Frame)*40*time.Millisecond, 1)
				}
				b.ReportMetric(float64((spent()-begun).Microseconds())/1000/float64(b.N), "cpu-ms/op")
			})
		}
	}
}
