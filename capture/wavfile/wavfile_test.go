package wavfile

import (
	"bytes"
	"encoding/binary"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"rollready/capture"
	"rollready/capture/riff"
)

// ramp is what testdata/make.py put on channel 0; each further channel is
// half as loud as the one before.
var ramp = []float64{0, 0.5, -0.5, 0.25, -1, 0.999969482421875, 1.0 / (1 << 15)}

// libraryFiles were written by libsndfile and sox: see testdata/README.md.
var libraryFiles = []struct {
	name      string
	format    capture.Format
	encoding  Encoding
	tolerance float64 // one step of 16 bits: libsndfile scales by 32767
}{
	{"pcm16_stereo", capture.Format{RateHz: 44100, Channels: 2}, PCM16, 1.0 / (1 << 15)},
	{"pcm24_mono", capture.Format{RateHz: 48000, Channels: 1}, PCM24, 0},
	{"pcm32_stereo", capture.Format{RateHz: 192000, Channels: 2}, PCM32, 0},
	{"float32_stereo", capture.Format{RateHz: 96000, Channels: 2}, Float32, 0},
	{"float64_mono", capture.Format{RateHz: 8000, Channels: 1}, Float64, 0},
	{"ext16_six", capture.Format{RateHz: 48000, Channels: 6}, PCM16, 1.0 / (1 << 15)},
	{"ext24_stereo", capture.Format{RateHz: 48000, Channels: 2}, PCM24, 0},
	{"extfloat_three", capture.Format{RateHz: 48000, Channels: 3}, Float32, 0},
	{"rf64_stereo", capture.Format{RateHz: 48000, Channels: 2}, PCM24, 0},
	{"piped", capture.Format{RateHz: 48000, Channels: 2}, PCM16, 1.0 / (1 << 15)},
}

func TestReadsFilesOfOtherPrograms(t *testing.T) {
	for _, c := range libraryFiles {
		t.Run(c.name, func(t *testing.T) {
			r, err := Open("testdata/lib_" + c.name + ".wav")
			require.NoError(t, err)
			defer r.Close()
			require.Equal(t, c.format, r.Format())
			require.Equal(t, c.encoding, r.Encoding())
			require.EqualValues(t, len(ramp), r.Frames())
			require.Equal(t, c.name == "piped", r.Truncated())
			for i, x := range readAll(t, r, 3) {
				want := ramp[i/c.format.Channels] * math.Pow(2, -float64(i%c.format.Channels))
				require.InDelta(t, want, x, c.tolerance, "sample %d", i)
			}
		})
	}
}

// Encodings of eight bits: every code as libsndfile, through sox, reads it.
func TestEightBitCodesAsOtherProgramsReadThem(t *testing.T) {
	sox := program(t, "sox", "sox")
	codes := make([]byte, 256)
	for i := range codes {
		codes[i] = byte(i)
	}
	for name, e := range map[string]Encoding{"unsigned": PCM8, "a-law": ALaw, "mu-law": MuLaw} {
		path := filepath.Join(t.TempDir(), "a.wav")
		make := exec.Command(sox, "-t", "raw", "-r", "8000", "-e", name, "-b", "8", "-c", "1", "-", path)
		make.Stdin = bytes.NewReader(codes)
		require.NoError(t, make.Run())
		raw, err := exec.Command(sox, "-D", path, "-t", "raw", "-e", "floating-point", "-b", "64", "-L", "-").Output()
		require.NoError(t, err)
		r, err := Open(path)
		require.NoError(t, err)
		require.Equal(t, e, r.Encoding())
		samples := readAll(t, r, 100)
		require.Len(t, samples, len(codes))
		for i, x := range samples {
			require.EqualValues(t, math.Float64frombits(binary.LittleEndian.Uint64(raw[8*i:])), x, "%s, code %#x", name, i)
		}
		require.NoError(t, r.Close())
	}
}

// The reference files hold 1001 frames of a 1 kHz sine at half of full scale,
// frame 12 being 400000h exactly; see testdata/reference/README.md.
func TestReadsReferenceFiles(t *testing.T) {
	files, err := filepath.Glob("../../testdata/reference/*.wav")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 6)
	for _, path := range files {
		t.Run(filepath.Base(path), func(t *testing.T) {
			r, err := Open(path)
			require.NoError(t, err)
			defer r.Close()
			require.Equal(t, capture.Format{RateHz: 48000, Channels: 1}, r.Format())
			require.False(t, r.Truncated())
			samples := readAll(t, r, 100)
			require.Len(t, samples, 1001)
			require.EqualValues(t, 0.5, samples[12])
			for n, x := range samples {
				require.InDelta(t, 0.5*math.Sin(2*math.Pi*1000*float64(n)/48000), x, 1.0/(1<<23))
			}
			// EBU Tech 3285 v2, 2.3: time reference at offset 338.
			bext := r.Layout().Payload("bext")
			require.GreaterOrEqual(t, len(bext), 602)
			require.EqualValues(t, 1814400000, binary.LittleEndian.Uint64(bext[338:]))
		})
	}
}

func TestGivesOtherChunks(t *testing.T) {
	r, err := Open("../../testdata/reference/fixture_bwf_v2_pcm24.wav")
	require.NoError(t, err)
	defer r.Close()
	require.Len(t, r.Layout().Payload("iXML"), 139)
	cue := r.Layout().Payload("cue ")
	require.EqualValues(t, 2, binary.LittleEndian.Uint32(cue))
	require.EqualValues(t, 700, binary.LittleEndian.Uint32(cue[4+24+20:]))
	require.True(t, bytes.HasPrefix(r.Layout().Payload("adtl"), []byte("labl")))
	require.Nil(t, r.Layout().Payload("none"))
}

func TestRefusesInOneClearLine(t *testing.T) {
	for name, want := range map[string]string{
		"testdata/make.py":    "not a WAV file",
		"testdata":            "not a file",
		"testdata/absent.wav": "no such file",
	} {
		_, err := Open(name)
		require.ErrorContains(t, err, want, name)
		require.NotContains(t, err.Error(), "\n")
		require.Contains(t, err.Error(), name)
	}
}

func TestRefusesHeadersThatCannotBe(t *testing.T) {
	good, err := os.ReadFile("testdata/lib_pcm16_stereo.wav")
	require.NoError(t, err)
	for want, damage := range map[string]func(b []byte){
		"0 channels":       func(b []byte) { b[22] = 0 },
		"65535 channels":   func(b []byte) { b[22], b[23] = 0xFF, 0xFF },
		"sample rate 0 Hz": func(b []byte) { copy(b[24:], []byte{0, 0, 0, 0}) },
		"do not fit":       func(b []byte) { b[32] = 5 },
		"no data chunk":    func(b []byte) { copy(b[36:], "junk") },
		"no fmt chunk":     func(b []byte) { copy(b[12:], "junk") },
		"fmt chunk of 4":   func(b []byte) { b[16] = 4; copy(b[24:], "data\x04\x00\x00\x00") },
	} {
		bad := bytes.Clone(good)
		damage(bad)
		_, err := NewReader(bytes.NewReader(bad), int64(len(bad)))
		require.ErrorContains(t, err, want)
	}
}

func TestCutAtEveryByteGivesWhatIsThere(t *testing.T) {
	for _, name := range []string{"pcm16_stereo", "rf64_stereo", "extfloat_three"} {
		whole, err := os.ReadFile("testdata/lib_" + name + ".wav")
		require.NoError(t, err)
		full, err := NewReader(bytes.NewReader(whole), int64(len(whole)))
		require.NoError(t, err)
		start := int(full.layout.Data.At)
		for cut := range whole {
			r, err := NewReader(bytes.NewReader(whole[:cut]), int64(cut))
			if cut < start {
				require.Error(t, err, "cut at %d", cut)
				continue
			}
			require.NoError(t, err, "cut at %d", cut)
			end := start + int(full.layout.Data.Size)
			require.EqualValues(t, (min(cut, end)-start)/full.frameBytes, r.Frames())
			require.Equal(t, cut < end, r.Truncated(), "cut at %d", cut)
			require.Len(t, readAll(t, r, 4), int(r.Frames())*r.Format().Channels)
		}
	}
}

func TestLyingDataSizes(t *testing.T) {
	good, err := os.ReadFile("testdata/lib_pcm16_stereo.wav")
	require.NoError(t, err)
	for _, lie := range []uint32{0, 0xFFFFFFFF, 0xFFFFFFFE, 0x7FFFF000, 1 << 20} {
		bad := bytes.Clone(good)
		binary.LittleEndian.PutUint32(bad[40:], lie)
		r, err := NewReader(bytes.NewReader(bad), int64(len(bad)))
		require.NoError(t, err)
		require.EqualValues(t, len(ramp), r.Frames(), "%#x", lie)
		require.True(t, r.Truncated())
	}
	empty := append(bytes.Clone(good[:40]), 0, 0, 0, 0)
	empty = riff.Append(empty, riff.Chunk{ID: "note", Payload: []byte("four")})
	r, err := NewReader(bytes.NewReader(empty), int64(len(empty)))
	require.NoError(t, err)
	require.Zero(t, r.Frames(), "an empty data chunk followed by another chunk is empty")
	require.False(t, r.Truncated())
}

func TestPadByteMayBeMissing(t *testing.T) {
	for _, pad := range []string{"", "\x00"} {
		raw := append([]byte("RIFF\x00\x00\x00\x00WAVEodd \x03\x00\x00\x00abc"), pad...)
		raw = riff.Append(raw, FormatChunk(capture.Format{RateHz: 48000, Channels: 1}, PCM16))
		raw = riff.Append(raw, riff.Chunk{ID: "data", Payload: []byte{0, 0x40}})
		r, err := NewReader(bytes.NewReader(raw), int64(len(raw)))
		require.NoError(t, err)
		require.Equal(t, []float32{0.5}, readAll(t, r, 1))
	}
}

func TestSmallFileThatClaimsToBeHuge(t *testing.T) {
	raw := append([]byte("RIFF\xff\xff\xff\xffWAVE"), "iXML\xff\xff\xff\x7f"...)
	allocated := testing.AllocsPerRun(10, func() {
		_, err := NewReader(bytes.NewReader(raw), int64(len(raw)))
		require.Error(t, err)
	})
	require.Less(t, allocated, 100.0)
}

func TestReadDoesNotAllocate(t *testing.T) {
	r, err := Open("testdata/lib_rf64_stereo.wav")
	require.NoError(t, err)
	defer r.Close()
	block := make([]float32, 8)
	require.Zero(t, testing.AllocsPerRun(100, func() {
		_ = r.SeekTo(0)
		_, _ = r.Read(block)
	}))
}

// readAll reads in blocks of so many frames.
func readAll(t *testing.T, r *Reader, blockFrames int) []float32 {
	t.Helper()
	var all []float32
	block := make([]float32, blockFrames*r.Format().Channels)
	for {
		n, err := r.Read(block)
		if err == io.EOF {
			return all
		}
		require.NoError(t, err)
		require.Positive(t, n)
		all = append(all, block[:n*r.Format().Channels]...)
	}
}
