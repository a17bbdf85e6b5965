//go:build unix

package soundtest

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"os/exec"
	"slices"
	"testing"
	"time"

	"rollready/capture"
)

// Player is something that sounds in the room until it ends or is stopped.
type Player struct {
	cmd  *exec.Cmd
	done chan struct{}
}

// Tone lets a sine sound in the room, on all channels, until the test ends.
func (s *Server) Tone(t testing.TB, hz, amplitude float64) *Player {
	t.Helper()
	frame := 0
	return s.Play(t, RoomID, func(block []float32) int {
		channels := s.format.Channels
		for i := range len(block) / channels {
			x := amplitude * math.Sin(2*math.Pi*hz*float64(frame+i)/float64(s.format.RateHz))
			for c := range channels {
				block[i*channels+c] = float32(x)
			}
		}
		frame += len(block) / channels
		return len(block)
	})
}

// Samples plays interleaved samples in the server's format to a sink, once.
func (s *Server) Samples(t testing.TB, sinkID string, samples []float32) *Player {
	t.Helper()
	return s.Play(t, sinkID, func(block []float32) int {
		n := copy(block, samples)
		samples = samples[n:]
		return n
	})
}

// Play sends what next fills in, in the server's format, to a sink; it ends
// when next fills in less than the whole block.
func (s *Server) Play(t testing.TB, sinkID string, next func(block []float32) int) *Player {
	t.Helper()
	p := &Player{cmd: s.client(s.format, "--playback", "--device="+sinkID), done: make(chan struct{})}
	in, err := p.cmd.StdinPipe()
	if err == nil {
		err = p.cmd.Start()
	}
	if err != nil {
		t.Fatalf("play: %v", err)
	}
	t.Cleanup(p.Stop)
	go p.feed(in, make([]float32, 480*s.format.Channels), next)
	return p
}

func (p *Player) feed(in io.WriteCloser, block []float32, next func([]float32) int) {
	defer close(p.done)
	for n := len(block); n == len(block); {
		n = next(block)
		if binary.Write(in, binary.LittleEndian, block[:n]) != nil {
			break
		}
	}
	in.Close()
	_ = p.cmd.Wait()
}

// Stop silences the player.
func (p *Player) Stop() {
	_ = p.cmd.Process.Kill()
	<-p.done
}

// Wait waits until the player has ended of itself.
func (p *Player) Wait() { <-p.done }

// Record gives what a source, such as CameraID+".monitor", hears for so long,
// interleaved in the server's format.
func (s *Server) Record(t testing.TB, sourceID string, length time.Duration) []float32 {
	t.Helper()
	cmd := s.client(s.format, "--record", "--device="+sourceID)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.StdoutPipe()
	if err == nil {
		err = cmd.Start()
	}
	if err != nil {
		t.Fatalf("record: %v", err)
	}
	end := func() { _ = cmd.Process.Kill(); _ = cmd.Wait() }
	defer end()
	frames := int(length.Seconds() * float64(s.format.RateHz))
	samples := make([]float32, frames*s.format.Channels)
	if err := binary.Read(out, binary.LittleEndian, samples); err != nil {
		end()
		t.Fatalf("record from %s: %v: %s", sourceID, err, said.String())
	}
	return samples
}

// client stays with its device: without the property PipeWire moves what plays
// to, or records from, the default device whenever another one becomes it.
func (s *Server) client(f capture.Format, args ...string) *exec.Cmd {
	cmd := exec.Command("pacat", append(args, "--raw", "--format=float32le", "--latency-msec=20", "--property=node.dont-reconnect=true",
		fmt.Sprintf("--rate=%d", f.RateHz), fmt.Sprintf("--channels=%d", f.Channels), "--channel-map="+channelMap(f.Channels))...)
	cmd.Env = append(slices.Clip(s.env), "PULSE_SERVER="+s.Address())
	return cmd
}
