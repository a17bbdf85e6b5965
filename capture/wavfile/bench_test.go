package wavfile

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
)

// BenchmarkRead reads ten seconds of stereo from memory in blocks of 4096
// frames; Msamples/s counts each channel's samples.
func BenchmarkRead(b *testing.B) {
	for _, e := range encodings {
		b.Run(e.String(), func(b *testing.B) {
			path := filepath.Join(b.TempDir(), "a.wav")
			w, err := Create(path, capture.Format{RateHz: 48000, Channels: 2}, e)
			require.NoError(b, err)
			require.NoError(b, w.Write(make([]float32, 960000)))
			require.NoError(b, w.Close())
			raw, err := os.ReadFile(path)
			require.NoError(b, err)
			r, err := NewReader(bytes.NewReader(raw), int64(len(raw)))
			require.NoError(b, err)
			block := make([]float32, 8192)
			for b.Loop() {
				_ = r.SeekTo(0)
				for n := 1; n > 0; n, _ = r.Read(block) {
				}
			}
			b.ReportMetric(960000*float64(b.N)/b.Elapsed().Seconds()/1e6, "Msamples/s")
		})
	}
}

func BenchmarkWrite(b *testing.B) {
	block := make([]float32, 8192)
	for _, e := range encodings {
		b.Run(e.String(), func(b *testing.B) {
			var raw []byte
			for b.Loop() {
				raw = Append(e, raw[:0], block)
			}
			b.ReportMetric(8192*float64(b.N)/b.Elapsed().Seconds()/1e6, "Msamples/s")
		})
	}
}
