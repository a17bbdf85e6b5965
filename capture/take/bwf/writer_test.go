package bwf

import (
	"encoding/binary"
	"errors"
	"io/fs"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/take/internal/foreign"
	"rollready/capture/wavfile"
)

var meta = Meta{Scene: "12 Küche", Take: "3", Note: "door <creaks> & a kettle", Circled: true,
	Started: time.Date(2026, 3, 4, 10, 30, 0, 0, time.Local), Tracks: []string{"processed 1", "input 1"},
	Loudness: Loudness{Known: true, IntegratedLUFS: -22.645, RangeLU: 12.765, MaxTruePeak: -0.52, MaxMomentary: math.Inf(-1), MaxShortTerm: -9.05}}

var markers = []Marker{{100, "clap"}, {700, "gut, süß"}, {900, ""}}

func noise(n int) []float32 {
	random := rand.New(rand.NewPCG(1, 2))
	samples := make([]float32, n)
	for i := range samples {
		samples[i] = float32(random.IntN(1<<16)-1<<15) / (1 << 15) // whole in every encoding
	}
	return samples
}

// record writes samples in uneven blocks, making them good now and then.
func record(t testing.TB, path string, f capture.Format, e wavfile.Encoding, samples []float32) *Writer {
	w, err := Create(path, f, e, meta, nil)
	require.NoError(t, err)
	for n, rest := 1, samples; len(rest) > 0; n = 3*n%101 + 1 {
		block := rest[:min(len(rest), n*f.Channels)]
		require.NoError(t, w.Write(block))
		if n%7 == 0 {
			require.NoError(t, w.MakeGood())
		}
		rest = rest[len(block):]
	}
	return w
}

func TestForeignReadersGetEverySample(t *testing.T) {
	for _, e := range []wavfile.Encoding{wavfile.PCM16, wavfile.PCM24, wavfile.Float32} {
		for _, channels := range []int{1, 6} {
			for _, frames := range []int{0, 1, 1001} {
				path := filepath.Join(t.TempDir(), "a.wav")
				samples := noise(frames * channels)
				w := record(t, path, capture.Format{RateHz: 48000, Channels: channels}, e, samples)
				require.NoError(t, w.Close(meta, markers))
				p := parse(t, path)
				require.Equal(t, "RIFF", p.form)
				require.Equal(t, markers, p.cues(t))
				if frames > 0 { // libsndfile's Python binding can't read zero frames
					require.Equal(t, samples, foreign.Samples(t, path, "0", "-1"))
				}
				info, err := Read(path)
				require.NoError(t, err)
				require.Equal(t, int64(frames), info.Frames)
				require.Equal(t, markers, info.Markers)
				require.True(t, info.Meta.Started.Equal(meta.Started))
			}
		}
	}
}

func TestSoxAgrees(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	w := record(t, path, capture.Format{RateHz: 96000, Channels: 4}, wavfile.PCM24, noise(4*960))
	require.NoError(t, w.Close(meta, markers))
	require.Equal(t, "960", strings.TrimSpace(foreign.Run(t, "sox", "soxi", "-s", path)))
	require.Equal(t, "4", strings.TrimSpace(foreign.Run(t, "sox", "soxi", "-c", path)))
	require.Equal(t, "24", strings.TrimSpace(foreign.Run(t, "sox", "soxi", "-b", path)))
}

// Offsets: EBU Tech 3285 v2, 2.3; loudness figures: its printed examples.
// 10:30:00 at 48 kHz is 48000·37800 = 1814400000 frames.
func TestBroadcastExtension(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	w := record(t, path, capture.Format{RateHz: 48000, Channels: 2}, wavfile.PCM24, noise(2*1000))
	require.NoError(t, w.Close(meta, nil))
	b := parse(t, path).bext
	require.Equal(t, "scene 12 K?che, take 3. door <creaks> & a kettle", strings.TrimRight(string(b[:256]), "\x00"))
	require.Equal(t, "rollready", strings.TrimRight(string(b[256:288]), "\x00"))
	require.Equal(t, "2026-03-0410:30:00", string(b[320:338]))
	require.Equal(t, uint32(1814400000), u32(b[338:]))
	require.Zero(t, u32(b[342:]))
	require.Equal(t, []byte{2, 0}, b[346:348])
	require.Equal(t, make([]byte, 64), b[348:412])
	want := []uint16{0xF727, 0x04FD, 0xFFCC, 0x7FFF, 0xFC77}
	for i, v := range want {
		require.Equal(t, v, binary.LittleEndian.Uint16(b[412+2*i:]), "figure %d", i)
	}
	require.Equal(t, make([]byte, 180), b[422:602])
	require.Equal(t, "A=PCM,F=48000,W=24,M=stereo,T=rollready\r\n", strings.TrimRight(string(b[602:]), "\x00"))
}

// The printed examples of EBU Tech 3285 v2, 2.4.
func TestLoudnessRounding(t *testing.T) {
	for x, want := range map[float64]int16{-22.644: -2264, -22.645: -2265, -22.646: -2265, 12.764: 1276, 12.765: 1277, 12.766: 1277, 99.99: 9999, 100: 0x7FFF} {
		require.Equal(t, uint16(want), centi(x), "%v", x)
	}
	require.Equal(t, uint16(unused), centi(math.NaN()))
}

// 96 kHz passes 2^32 frames since midnight at 12:25:39.
func TestTimeReferencePassesThirtyTwoBits(t *testing.T) {
	m := Meta{Started: time.Date(2026, 3, 4, 12, 25, 40, 500e6, time.Local)}
	require.Equal(t, uint64(96000)*44740+48000, m.TimeReference(96000))
	b := appendBext(nil, m, capture.Format{RateHz: 96000, Channels: 1}, wavfile.PCM24)
	require.Equal(t, uint32(1), u32(b[342:]))
}

func TestReadsFilesOfOtherPrograms(t *testing.T) {
	for name, cues := range map[string]int{"lib_wav_pcm24": 2, "lib_wav_ext24": 2, "lib_rf64_ext24": 0,
		"fixture_bwf_v2_pcm24": 2, "fixture_bwf_v2_ext24": 2, "fixture_rf64_ext24": 2} {
		info, err := Read("../../../testdata/reference/" + name + ".wav")
		require.NoError(t, err, name)
		require.Equal(t, int64(1001), info.Frames, name)
		require.Equal(t, uint64(1814400000), info.Bext.TimeReference, name)
		require.Equal(t, -22.65, info.Bext.LoudnessLUFS, name)
		require.Len(t, info.Markers, cues, name)
	}
}

func TestNeverOverwrites(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	require.NoError(t, os.WriteFile(path, []byte("precious"), 0o644))
	_, err := Create(path, capture.Format{RateHz: 48000, Channels: 1}, wavfile.PCM24, meta, nil)
	require.ErrorIs(t, err, fs.ErrExist)
	kept, _ := os.ReadFile(path)
	require.Equal(t, "precious", string(kept))
}

func TestAmendKeepsTheSamples(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	samples := noise(2 * 500)
	w := record(t, path, capture.Format{RateHz: 48000, Channels: 2}, wavfile.PCM24, samples)
	require.ErrorIs(t, Amend(path, meta), ErrBusy)
	require.NoError(t, w.Close(meta, markers))
	before, _ := os.Stat(path)
	changed := meta
	changed.Note, changed.Circled = strings.Repeat("<&>Ж", 2000), false
	require.NoError(t, Amend(path, changed))
	after, _ := os.Stat(path)
	require.Equal(t, before.Size(), after.Size())
	info, err := Read(path)
	require.NoError(t, err)
	require.False(t, info.Meta.Circled)
	require.True(t, strings.HasPrefix(changed.Note, info.Meta.Note))
	require.Greater(t, len(info.Meta.Note), 200)
	require.Equal(t, markers, parse(t, path).cues(t))
	require.Equal(t, samples, foreign.Samples(t, path, "0", "-1"))
}

// broken fails as a full or broken disk does.
type broken struct {
	File
	room     int64 // bytes that still fit
	syncFail bool
}

var errFull = errors.New("no space left on device")

func (b *broken) WriteAt(p []byte, at int64) (int, error) {
	if over := at + int64(len(p)) - b.room; over > 0 {
		n, _ := b.File.WriteAt(p[:max(0, int64(len(p))-over)], at)
		return n, errFull
	}
	return b.File.WriteAt(p, at)
}

func (b *broken) Sync() error {
	if b.syncFail {
		return errors.New("input/output error")
	}
	return b.File.Sync()
}

func openBroken(b *broken) OpenFunc {
	return func(path string) (f File, err error) {
		b.File, err = Open(path)
		return b, err
	}
}

func TestFullDiskKeepsWholeFrames(t *testing.T) {
	for room := int64(6000); room < 6100; room++ {
		path := filepath.Join(t.TempDir(), "a.wav")
		w, err := Create(path, capture.Format{RateHz: 48000, Channels: 2}, wavfile.PCM24, meta, openBroken(&broken{room: room}))
		require.NoError(t, err)
		samples := noise(2 * 1000)
		written := 0
		for at := 0; at < len(samples) && err == nil; at += 20 {
			if err = w.Write(samples[at : at+20]); err == nil {
				written = at + 20
			}
		}
		require.ErrorIs(t, err, errFull)
		require.ErrorIs(t, w.Write(samples[:2]), errFull)
		require.ErrorIs(t, w.Close(meta, markers), errFull)
		require.Equal(t, uint64(written*3), parse(t, path).dataSize)
	}
}

func TestFailedSyncMovesTheHeaderNoFurther(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.wav")
	b := &broken{room: math.MaxInt64}
	w, err := Create(path, capture.Format{RateHz: 48000, Channels: 2}, wavfile.PCM24, meta, openBroken(b))
	require.NoError(t, err)
	require.NoError(t, w.Write(noise(200)))
	require.NoError(t, w.MakeGood())
	require.NoError(t, w.Write(noise(200)))
	b.syncFail = true
	require.Error(t, w.MakeGood())
	b.syncFail = false
	require.Error(t, w.MakeGood())
	require.Error(t, w.Close(meta, markers))
	info, err := Read(path)
	require.NoError(t, err)
	require.Equal(t, int64(100), info.Frames)
}
