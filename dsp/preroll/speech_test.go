package preroll

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/dsp/db"
	"rollready/dsp/internal/scene"
	"rollready/dsp/truepeak"
)

// speaker is a voice of espeak-ng and how it speaks.
type speaker struct {
	name, voice  string
	pitch, speed int
	deep         float64 // lower bound of the fundamental it really uses, Hz
}

var speakers = []speaker{
	{"male", "en-gb", 40, 160, 60},
	{"male lively", "en-us+m3", 60, 190, 60},
	{"female", "en-gb+f2", 50, 160, 120},
	{"female lively", "en-us+f4", 65, 185, 120},
}

// some gives one of a list, and all of it in a proof.
func some[T any](t testing.TB, list []T) []T {
	if strings.HasPrefix(t.Name(), "TestProof") {
		return list
	}
	return list[:1]
}

const text = "The boat left the harbour before the fog came in. We had packed bread, pears and a small tin of tea. " +
	"Nobody knew how long the crossing would take, but the pilot seemed sure of himself! " +
	"Put the box on the table, please. Why should anybody bother?"

var cache sync.Map // of spoken text by speaker

// spoken gives some fifteen seconds of a speaker at espeak-ng's own rate.
func spoken(t testing.TB, s speaker) (x []float64, rateHz float64) {
	t.Helper()
	if v, ok := cache.Load(s.name); ok {
		return v.([]float64), 22050
	}
	wav, err := exec.Command("espeak-ng", "-v", s.voice, "-a", "60", "-p", strconv.Itoa(s.pitch),
		"-s", strconv.Itoa(s.speed), "--stdout", text).Output()
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("espeak-ng: %v: install the Debian package espeak-ng", err)
		}
		t.Skipf("espeak-ng: %v: install the Debian package espeak-ng to test with speech", err)
	}
	require.EqualValues(t, 22050, binary.LittleEndian.Uint32(wav[24:]))
	data := wav[bytes.Index(wav, []byte("data"))+8:]
	for i := 0; i+1 < len(data); i += 2 {
		x = append(x, float64(int16(binary.LittleEndian.Uint16(data[i:])))/32768)
	}
	cache.Store(s.name, x)
	return x, 22050
}

// resampled interpolates with a windowed sinc of 32 samples, from a table of
// 512 places between two samples.
func resampled(x []float64, fromHz, toHz float64) []float64 {
	const places, half = 512, 16
	kernel := make([]float64, 2*half*places+2)
	for i := range kernel {
		if d := float64(i)/places - half; d != 0 {
			kernel[i] = math.Sin(math.Pi*d) / (math.Pi * d) * (0.5 + 0.5*math.Cos(math.Pi*d/half))
		} else {
			kernel[i] = 1
		}
	}
	y := make([]float64, int(float64(len(x))*toHz/fromHz))
	for i := range y {
		at := float64(i) * fromHz / toHz
		for k := max(0, int(at)-half+1); k <= min(int(at)+half-1, len(x)-1); k++ {
			place := (float64(k) - at + half) * places
			n := int(place)
			y[i] += x[k] * (kernel[n] + (place-float64(n))*(kernel[n+1]-kernel[n]))
		}
	}
	return y
}

// speech gives a speaker at a rate, ten seconds, scaled so that the speech
// peaks are at a level: the true peak that 1 % of the blocks of 10 ms exceed,
// found by sorting them all.
func speech(t testing.TB, s speaker, peakDBTP float64, rateHz int) []float64 {
	t.Helper()
	key := fmt.Sprint(s.name, rateHz)
	v, ok := cache.Load(key)
	if !ok {
		x, from := spoken(t, s)
		x = resampled(x[:min(len(x), 10*int(from))], from, float64(rateHz))
		v = scene.Scale(x, -sortedPeaks(x, rateHz))
		cache.Store(key, v)
	}
	return scene.Scale(v.([]float64), peakDBTP)
}

func sortedPeaks(x []float64, rateHz int) float64 {
	meter, size := truepeak.New(rateHz, 1), rateHz/100
	var peaks []float64
	for ; len(x) >= size; x = x[size:] {
		block := make([]float32, size)
		for i := range block {
			block[i] = float32(x[i])
		}
		meter.Process(block)
		peaks = append(peaks, meter.TakeMax(0))
	}
	return db.FromAmplitude(quantile(peaks, 0.99))
}

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return db.RMS(sum / float64(len(x)))
}

// activeLevel is the active speech level of ITU-T P.56 method B (from memory):
// an envelope smoothed twice with 30 ms, thresholds in steps of 6 dB with
// 200 ms of hangover, and the level whose threshold lies 15.9 dB under it. In
// dBFS as AES17 has it.
func activeLevel(x []float64, rateHz int) float64 {
	const thresholds, margin = 16, 15.9
	g := math.Exp(-1 / (0.03 * float64(rateHz)))
	hang := rateHz / 5
	var active, quiet [thresholds]int
	var level [thresholds]float64
	var p, q, square float64
	for i := range quiet {
		quiet[i], level[i] = hang, math.Exp2(-float64(i+1))
	}
	for _, v := range x {
		square += v * v
		p = g*p + (1-g)*math.Abs(v)
		q = g*q + (1-g)*p
		for j := range thresholds {
			if q >= level[j] {
				quiet[j] = 0
			}
			if quiet[j] < hang {
				active[j]++
				quiet[j]++
			}
		}
	}
	last, lastOff := 0.0, math.Inf(-1)
	for j := range thresholds {
		if active[j] == 0 {
			continue
		}
		mean := db.FromPower(square / float64(active[j]))
		off := margin - (mean - db.FromAmplitude(level[j]))
		if off <= 0 {
			share := off / (off - lastOff)
			return mean + share*(last-mean) + db.SineRMS
		}
		last, lastOff = mean, off
	}
	return last + db.SineRMS
}
