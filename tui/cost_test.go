package tui

import (
	"io"
	"testing"

	"rollready/tui/desk"
	"rollready/tui/format"

	"github.com/stretchr/testify/require"

	"rollready/tui/canvas"
	"rollready/tui/terminal"
)

// moving is a program whose bands and meters all move, and its painter.
func moving(t testing.TB, screen string, w, h int) (*root, *canvas.Painter) {
	p := canvas.NewPainter(io.Discard)
	p.Begin("")
	r := still(t, func(e *fakeEngine, o *Options) {
		e.still, o.parts.Settings.Screen, o.Terminal = false, screen, &terminal.Terminal{Out: p}
	}, w, h)
	p.Paint()
	return r, p
}

// BenchmarkFrame is one picture while everything moves, from the reading to
// the bytes for the terminal. A part of it is the fake, which makes its
// readings anew.
func BenchmarkFrame(b *testing.B) {
	for _, screen := range []string{monitorName, comparisonName} {
		for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
			b.Run(screen+"-"+format.FigureInt(size[0])+"x"+format.FigureInt(size[1]), func(b *testing.B) {
				r, p := moving(b, screen, size[0], size[1])
				before, _ := p.Sent()
				b.ReportAllocs()
				for b.Loop() {
					r.Update(desk.TickMsg{})
					p.Paint()
				}
				bytes, _ := p.Sent()
				b.ReportMetric(float64(bytes-before)/float64(b.N), "bytes/frame")
			})
		}
	}
}

// TestFrameAllocatesLittle: figures that changed.
func TestFrameAllocatesLittle(t *testing.T) {
	r, p := moving(t, monitorName, 120, 40)
	got := testing.AllocsPerRun(200, func() {
		r.Update(desk.TickMsg{})
		p.Paint()
	})
	require.Less(t, got, 150.0, "allocations in a frame")
}

// TestBytesPerFrame counts what reaches the terminal, all bands and both
// meters moving.
func TestBytesPerFrame(t *testing.T) {
	for _, screen := range []string{monitorName, comparisonName} {
		t.Run(screen, func(t *testing.T) {
			const frames = 90
			r, p := moving(t, screen, 120, 40)
			before, _ := p.Sent()
			for range frames {
				r.Update(desk.TickMsg{})
				p.Paint()
			}
			bytes, _ := p.Sent()
			perFrame := float64(bytes-before) / frames
			t.Logf("%.0f bytes a frame over %d frames at 120 × 40", perFrame, frames)
			require.Less(t, perFrame, 2500.0)
		})
	}
}

// TestNothingNewSendsNothing: a picture that stays costs no byte.
func TestNothingNewSendsNothing(t *testing.T) {
	p := canvas.NewPainter(io.Discard)
	p.Begin("")
	r := still(t, func(_ *fakeEngine, o *Options) { o.Terminal = &terminal.Terminal{Out: p} }, 80, 24)
	p.Paint()
	bytes, _ := p.Sent()
	for range 100 {
		r.Update(desk.TickMsg{})
		p.Paint()
	}
	after, _ := p.Sent()
	require.Equal(t, bytes, after)
}
