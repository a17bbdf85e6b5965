package twovoices

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"os/exec"
	"slices"
	"strconv"
	"sync"
	"testing"

	"rollready/dsp/db"
	"rollready/dsp/internal/scene"
)

// RateHz is that of espeak-ng's voices: nothing need be resampled.
const RateHz = 22050

// Speaker is a voice of espeak-ng, how it speaks and what it says.
type Speaker struct {
	Name, voice  string
	pitch, speed int
	text         string
}

// Speakers are of several kinds; no two say the same.
var Speakers = []Speaker{
	{"deep", "en-gb", 30, 150, "The boat left the harbour before the fog came in. We had packed bread, pears and a small tin of tea. Put the box on the table, please."},
	{"female", "en-gb+f2", 50, 160, "Nobody knew how long the crossing would take, but the pilot seemed sure of himself! Why should anybody bother? There was time enough."},
	{"lively", "en-us+m3", 60, 190, "My father kept bees behind the mill, nine hives in two rows. In June you could hear them from the road, and smell the clover too."},
	{"high", "en-us+f4", 75, 175, "First we measured the field with a rope, then with a chain. Both were wrong, of course, so the fence stands where it has always stood."},
	{"slow", "en-gb+m7", 42, 125, "Every winter the river froze, and every spring it took the bridge away. After the third bridge, they built it of stone, and it held."},
}

var cache sync.Map // of spoken text by name

// spoken gives some ten seconds of a speaker with speech peaks at full scale.
func (s Speaker) spoken(t testing.TB) []float64 {
	t.Helper()
	if v, ok := cache.Load(s.Name); ok {
		return v.([]float64)
	}
	wav, err := exec.Command("espeak-ng", "-v", s.voice, "-a", "60", "-p", strconv.Itoa(s.pitch), "-s", strconv.Itoa(s.speed), "--stdout", s.text).Output()
	switch {
	case err != nil && os.Getenv("CI") != "":
		t.Fatalf("espeak-ng: %v: install the Debian package espeak-ng", err)
	case err != nil:
		t.Skipf("espeak-ng: %v: install the Debian package espeak-ng to test with speech", err)
	}
	var x []float64
	data := wav[bytes.Index(wav, []byte("data"))+8:]
	for i := 0; i+1 < len(data); i += 2 {
		x = append(x, float64(int16(binary.LittleEndian.Uint16(data[i:])))/32768)
	}
	x = scene.Scale(x, -peaks(x))
	cache.Store(s.Name, x)
	return x
}

// peaks gives the speech peaks: what 1 % of the blocks of 10 ms exceed.
func peaks(x []float64) float64 {
	size := RateHz / 100
	var all []float64
	for ; len(x) >= size; x = x[size:] {
		top := 0.0
		for _, v := range x[:size] {
			top = max(top, math.Abs(v))
		}
		all = append(all, top)
	}
	slices.Sort(all)
	return db.FromAmplitude(all[len(all)*99/100])
}
