// Package speech gives tests a voice.
package speech

import (
	"encoding/binary"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

const header = 44 // bytes before the samples of this file

// Load gives the mono samples of testdata/signals/speech_22k.wav, full scale
// 1, and their rate.
func Load(t testing.TB) (samples []float32, rateHz int) {
	_, here, _, _ := runtime.Caller(0)
	raw, err := os.ReadFile(filepath.Join(filepath.Dir(here), "../../../testdata/signals/speech_22k.wav"))
	require.NoError(t, err)
	require.Equal(t, "data", string(raw[header-8:header-4]))
	rateHz = int(binary.LittleEndian.Uint32(raw[24:]))
	for i := header; i+1 < len(raw); i += 2 {
		samples = append(samples, float32(int16(binary.LittleEndian.Uint16(raw[i:])))/32768)
	}
	return samples, rateHz
}
