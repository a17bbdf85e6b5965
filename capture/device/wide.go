package device

// The way to a PulseAudio source whose channels are not simply mono or left
// and right, such as an interface with eight of them. The audio binding asks
// the server for a fixed set of loudspeaker positions, and the server then
// mixes channels by position: numbered ones come out silent, others moved.
// This client, which speaks the server's own protocol, takes the channels as
// they are. Without it, inputs with more than two channels would have to be
// refused on PulseAudio. It also answers to PipeWire, which speaks the same
// protocol.

import (
	"encoding/binary"
	"fmt"
	"math"
	"slices"

	"github.com/jfreymuth/pulse"
	"github.com/jfreymuth/pulse/proto"

	"rollready/capture"
)

// wideSource is an opened input of that kind: a capture.Source.
type wideSource struct {
	name    string
	format  capture.Format
	client  *pulse.Client
	from    *pulse.Source
	stream  *pulse.RecordStream
	done    chan struct{} // never closed: the client does not tell
	block   []float32
	deliver func(block []float32)
}

// openWide opens of if its channels call for it; nil if the binding will do.
func openWide(of Info, f capture.Format) (*wideSource, error) {
	s := &wideSource{name: of.Name, format: f, done: make(chan struct{})}
	wanted := of.Channels > 2
	err := within(callLimit, func() error {
		channels, err := s.connect(of.ID)
		if err != nil {
			return err
		}
		if wanted = !plain(channels); !wanted {
			return s.Close()
		}
		return s.record(channels)
	}, func() { s.Close() })
	if !wanted {
		return nil, nil // also where this client does not find the server but the binding did
	}
	if err != nil {
		return nil, err
	}
	return s, nil
}

// connect finds the source and gives its channels.
func (s *wideSource) connect(id string) (channels proto.ChannelMap, err error) {
	if s.client, err = pulse.NewClient(pulse.ClientApplicationName("rollready")); err != nil {
		return nil, err
	}
	if s.from, err = s.client.SourceByID(id); err != nil {
		s.Close()
		return nil, err
	}
	return s.from.Channels(), nil
}

func (s *wideSource) record(channels proto.ChannelMap) (err error) {
	s.format.Channels = len(channels)
	period := s.format.RateHz * periodMS / 1000 * s.format.Channels
	s.block = make([]float32, period)
	s.stream, err = s.client.NewRecord(pulse.NewWriter(s, proto.FormatFloat32LE), pulse.RecordSource(s.from),
		pulse.RecordChannels(channels), pulse.RecordSampleRate(s.format.RateHz),
		pulse.RecordRawOption(func(r *proto.CreateRecordStream) {
			r.BufferFragSize, r.BufferMaxLength = uint32(4*period), uint32(4*period*periods)
			r.AdjustLatency, r.NoMove, r.NoRemix = true, true, true
		}))
	if err != nil {
		s.Close()
	}
	return err
}

// plain tells whether the binding hears these channels as they are.
func plain(m proto.ChannelMap) bool {
	return slices.Equal(m, proto.ChannelMap{proto.ChannelMono}) ||
		slices.Equal(m, proto.ChannelMap{proto.ChannelFrontLeft, proto.ChannelFrontRight})
}

func (s *wideSource) Name() string           { return s.name }
func (s *wideSource) Kind() capture.Kind     { return capture.Device }
func (s *wideSource) Format() capture.Format { return s.format }
func (s *wideSource) Done() <-chan struct{}  { return s.done }

func (s *wideSource) Start(deliver func(block []float32)) error {
	s.deliver = deliver
	err := within(callLimit, func() error { s.stream.Start(); return nil }, nil)
	if err != nil {
		return fmt.Errorf("start input %q: %w", s.name, err)
	}
	return nil
}

// Write takes the stream's bytes, on the client's reading goroutine.
func (s *wideSource) Write(raw []byte) (int, error) {
	frame := 4 * s.format.Channels
	for rest := raw[:len(raw)/frame*frame]; len(rest) > 0; {
		n := min(len(rest)/4, len(s.block))
		for i := range n {
			s.block[i] = math.Float32frombits(binary.LittleEndian.Uint32(rest[4*i:]))
		}
		s.deliver(s.block[:n])
		rest = rest[4*n:]
	}
	return len(raw), nil
}

// Close ends the connection, which does not wait for the server.
func (s *wideSource) Close() error {
	if s.client != nil {
		s.client.Close()
	}
	return nil
}
