package ring

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// count gives n frames of two channels numbered from first on; the second
// channel is the negative of the first, so a torn frame shows.
func count(first, n int) []float32 {
	block := make([]float32, 2*n)
	for i := range n {
		block[2*i], block[2*i+1] = float32(first+i), -float32(first+i)
	}
	return block
}

func TestSizeIsTheNextPowerOfTwo(t *testing.T) {
	for frames, want := range map[int]int{-3: 1, 0: 1, 1: 1, 2: 2, 3: 4, 4: 4, 5: 8, 480: 512, 48000: 65536} {
		require.Equal(t, want, New(frames, 2).Cap(), "for %d frames", frames)
	}
	require.Equal(t, 1, New(8, 0).Channels())
}

func TestFramesComeOutAsTheyWentInAcrossTheEdge(t *testing.T) {
	r := New(8, 2)
	out := make([]float32, 2*5)
	for round := range 50 {
		require.Equal(t, 5, r.Write(count(5*round, 5)))
		require.Equal(t, 5, r.Len())
		require.Equal(t, 3, r.Free())
		require.Equal(t, 5, r.Read(out))
		require.Equal(t, count(5*round, 5), out)
	}
	require.Zero(t, r.Dropped())
}

func TestFramesWithoutRoomAreDroppedAndCounted(t *testing.T) {
	r := New(4, 2)
	require.Equal(t, 3, r.Write(count(0, 3)))
	require.Equal(t, 1, r.Write(count(3, 6)), "only one more fits")
	require.EqualValues(t, 5, r.Dropped())
	require.Zero(t, r.Write(count(9, 2)))
	require.EqualValues(t, 7, r.Dropped())
	out := make([]float32, 2*8)
	require.Equal(t, 4, r.Read(out))
	require.Equal(t, count(0, 4), out[:8], "what was queued stays whole")
	require.Zero(t, r.Read(out))
}

func TestPartOfAFrameIsNeverWrittenOrRead(t *testing.T) {
	r := New(4, 2)
	require.Equal(t, 1, r.Write([]float32{1, 2, 3}))
	require.Equal(t, 0, r.Read(make([]float32, 1)))
	require.Equal(t, 1, r.Read(make([]float32, 3)))
}

func TestSkipForgetsTheOldest(t *testing.T) {
	r := New(8, 2)
	r.Write(count(0, 6))
	require.Equal(t, 4, r.Skip(4))
	require.Zero(t, r.Skip(-1))
	out := make([]float32, 4)
	require.Equal(t, 2, r.Read(out))
	require.Equal(t, count(4, 2), out)
	require.Zero(t, r.Skip(3))
}

func TestNothingAllocates(t *testing.T) {
	r := New(1024, 2)
	block := count(0, 480)
	require.Zero(t, testing.AllocsPerRun(1000, func() {
		r.Write(block)
		r.Read(block)
	}))
}

// One thread writes numbered frames in blocks of changing size while another
// reads: every frame comes once, in order and untorn. Run with -race.
func TestOneWriterOneReader(t *testing.T) {
	const total = 300_000
	r := New(256, 2)
	go func() {
		for next := 0; next < total; {
			want := min(1+next%97, total-next, r.Free())
			next += r.Write(count(next, want))
		}
	}()
	out := make([]float32, 2*61)
	for next := 0; next < total; {
		n := r.Read(out)
		for i := range n {
			if out[2*i] != float32(next+i) || out[2*i+1] != -float32(next+i) {
				t.Fatalf("frame %d reads %v, %v", next+i, out[2*i], out[2*i+1])
			}
		}
		next += n
	}
	require.Zero(t, r.Dropped())
	require.Zero(t, r.Len())
}

// The ring against a plain slice: each byte is one write, read or skip.
func FuzzAgainstPlainQueue(f *testing.F) {
	f.Add(uint8(3), []byte{0x05, 0x85, 0x05, 0xc3})
	f.Add(uint8(0), []byte{0x01, 0x02, 0x81, 0x82})
	f.Fuzz(func(t *testing.T, size uint8, steps []byte) {
		r := New(int(size), 2)
		plain := []float32{}
		var dropped int64
		next := 0
		for _, step := range steps {
			n := int(step & 0x3f)
			switch {
			case step < 0x80:
				fits := min(n, r.Cap()-len(plain)/2)
				plain = append(plain, count(next, fits)...)
				dropped += int64(n - fits)
				require.Equal(t, fits, r.Write(count(next, n)))
				next += n
			case step < 0xc0:
				out := make([]float32, 2*n)
				got := r.Read(out)
				require.Equal(t, min(n, len(plain)/2), got)
				require.Equal(t, plain[:2*got], out[:2*got])
				plain = plain[2*got:]
			default:
				plain = plain[2*r.Skip(n):]
			}
			require.Equal(t, len(plain)/2, r.Len())
			require.Equal(t, dropped, r.Dropped())
		}
	})
}

func BenchmarkWriteRead480Stereo(b *testing.B) {
	r := New(4096, 2)
	block := count(0, 480)
	b.ReportAllocs()
	for b.Loop() {
		r.Write(block)
		r.Read(block)
	}
}
