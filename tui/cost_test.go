package tui

import (
	"os"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/muesli/termenv"
	"github.com/stretchr/testify/require"

	"rollready/tui/terminal"
)

// BenchmarkFrame is one frame of the monitor while everything moves.
func BenchmarkFrame(b *testing.B) {
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		b.Run(figureInt(size[0])+"x"+figureInt(size[1]), func(b *testing.B) {
			r := still(b, func(e *fakeEngine, _ *Options) { e.still = false }, size[0], size[1])
			b.ReportAllocs()
			for b.Loop() {
				r.Update(tickMsg{})
				_ = r.View()
			}
		})
	}
}

// BenchmarkComparison is one frame of the comparison while everything moves.
// Most of it is the fake, which makes its readings anew.
func BenchmarkComparison(b *testing.B) {
	r := still(b, func(e *fakeEngine, o *Options) { e.still, o.parts.Settings.Screen = false, comparisonName }, 120, 40)
	b.ReportAllocs()
	for b.Loop() {
		r.Update(tickMsg{})
		_ = r.View()
	}
}

// TestFrameAllocatesLittle: the frame's own string, and figures that changed.
func TestFrameAllocatesLittle(t *testing.T) {
	r := still(t, func(e *fakeEngine, _ *Options) { e.still = false }, 120, 40)
	got := testing.AllocsPerRun(200, func() {
		r.Update(tickMsg{})
		_ = r.View()
	})
	require.Less(t, got, 120.0, "allocations in a frame")
}

// TestBytesPerFrame runs the program through the library that paints it and
// counts what reaches the terminal, all bands and both meters moving.
func TestBytesPerFrame(t *testing.T) {
	for _, screen := range []string{monitorName, comparisonName} {
		t.Run(screen, func(t *testing.T) { bytesPerFrame(t, screen) })
	}
}

func bytesPerFrame(t *testing.T, screen string) {
	null, err := os.OpenFile(os.DevNull, os.O_WRONLY, 0)
	require.NoError(t, err)
	defer null.Close()
	e := newFake()
	e.still = false
	opt := fakeOptions(t, e)
	opt.parts.Settings.Screen = screen
	opt.Terminal = &terminal.Terminal{Out: &terminal.Output{File: null}}
	p := tea.NewProgram(newRoot(opt, termenv.TrueColor), tea.WithInput(nil), tea.WithOutput(opt.Terminal.Out), tea.WithAltScreen(), tea.WithoutSignalHandler())
	go p.Send(tea.WindowSizeMsg{Width: 120, Height: 40})
	stop := time.AfterFunc(time.Minute, p.Kill)
	defer stop.Stop()
	go func() {
		for {
			if _, frames := opt.Terminal.Out.Sent(); frames >= 90 {
				p.Quit()
				return
			}
			time.Sleep(10 * time.Millisecond)
		}
	}()
	_, err = p.Run()
	require.NoError(t, err)
	bytes, frames := opt.Terminal.Out.Sent()
	perFrame := float64(bytes) / float64(frames)
	t.Logf("%.0f bytes a frame over %d frames at 120 × 40", perFrame, frames)
	require.Less(t, perFrame, 3000.0)
}
