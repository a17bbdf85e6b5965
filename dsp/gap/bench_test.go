package gap

import (
	"testing"

	"rollready/dsp/internal/scene"
	"rollready/dsp/internal/signal"
)

func BenchmarkGap(b *testing.B) {
	voice := signal.Speech(0.5, 48000, 5*48000, 1)
	m, x := New(48000, 2), signal.Interleave(voice, voice)
	for i, v := range scene.Noise(-65, 10, 48000, 1)[:len(x)] {
		x[i] += float32(v)
	}
	b.ReportAllocs()
	for b.Loop() {
		for at := 0; at < len(x); at += 8192 {
			m.Process(x[at:min(at+8192, len(x))])
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(x)), "ns/sample")
}
