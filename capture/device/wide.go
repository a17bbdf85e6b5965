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
	"sync/atomic"

	"github.com/jfreymuth/pulse/proto"

	"rollready/capture"
	"rollready/capture/internal/soundserver"
	"rollready/capture/mixer"
)

// wideSource is an opened input of that kind: a capture.Source.
type wideSource struct {
	mixer   *mixer.Watch
	of      Info
	name    string // in the sound system's mixer
	format  capture.Format
	server  *soundserver.Conn
	stream  uint32
	block   []float32
	deliver atomic.Pointer[func(block []float32)]
}

// openWide opens of if its channels call for it; nil if the binding will do.
func openWide(m *mixer.Watch, name string, of Info) (*wideSource, error) {
	s := &wideSource{mixer: m, of: of, name: name, format: of.format()}
	wanted := of.Channels > 2
	err := within(callLimit, func() error {
		channels, err := s.connect(of.ID)
		if err != nil {
			return err
		}
		if wanted = !plain(channels); !wanted {
			return s.Close()
		}
		return s.record(of.ID, channels)
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
func (s *wideSource) connect(id string) (proto.ChannelMap, error) {
	server, err := soundserver.Connect(s.take)
	if err != nil {
		return nil, err
	}
	s.server = server
	var source proto.GetSourceInfoReply
	if err = server.Request(&proto.GetSourceInfo{SourceIndex: proto.Undefined, SourceName: id}, &source); err != nil {
		s.Close()
		return nil, err
	}
	if len(source.ChannelMap) == 0 {
		s.Close()
		return nil, fmt.Errorf("the sound server names no channels of %s", id)
	}
	return source.ChannelMap, nil
}

// record makes the stream, which stands still until it is started.
func (s *wideSource) record(id string, channels proto.ChannelMap) error {
	s.format.Channels = len(channels)
	period := s.format.RateHz * periodMS / 1000 * s.format.Channels
	s.block = make([]float32, period)
	var made proto.CreateRecordStreamReply
	err := s.server.Request(&proto.CreateRecordStream{
		SampleSpec:         proto.SampleSpec{Format: proto.FormatFloat32LE, Channels: byte(len(channels)), Rate: uint32(s.format.RateHz)},
		ChannelMap:         channels,
		SourceIndex:        proto.Undefined,
		SourceName:         id,
		BufferFragSize:     uint32(4 * period),
		BufferMaxLength:    uint32(4 * period * periods),
		DirectOnInputIndex: proto.Undefined,
		Properties:         proto.PropList{"media.name": proto.PropListString(s.name)},
		ChannelVolumes:     make(proto.ChannelVolumes, len(channels)), // as many as there are; not set by them
		Corked:             true, AdjustLatency: true, NoMove: true, NoRemix: true,
	}, &made)
	if err != nil {
		s.Close()
	}
	s.stream = made.StreamIndex
	return err
}

// plain tells whether the binding hears these channels as they are.
func plain(m proto.ChannelMap) bool {
	return slices.Equal(m, proto.ChannelMap{proto.ChannelMono}) ||
		slices.Equal(m, proto.ChannelMap{proto.ChannelFrontLeft, proto.ChannelFrontRight})
}

func (s *wideSource) Name() string { return s.of.Name }

// Which tells the device from others.
func (s *wideSource) Which() (key, mark string) { return s.of.Key(), s.of.Mark }

// Monitor tells that it is what an output plays, no microphone.
func (s *wideSource) Monitor() bool          { return s.of.Monitor }
func (s *wideSource) Kind() capture.Kind     { return capture.Device }
func (s *wideSource) Format() capture.Format { return s.format }
func (s *wideSource) Done() <-chan struct{}  { return s.server.Ended() }

func (s *wideSource) Start(deliver func(block []float32)) error {
	s.deliver.Store(&deliver)
	if err := s.server.Request(&proto.CorkRecordStream{StreamIndex: s.stream, Corked: false}, nil); err != nil {
		return fmt.Errorf("start input %q: %w", s.of.Name, err)
	}
	return nil
}

// Mixed gives what the sound system does to the sound after the converter.
func (s *wideSource) Mixed() mixer.Setting { return s.mixer.Now().From(s.of.ID, s.name) }

// take takes the stream's bytes, on the connection's reading goroutine.
func (s *wideSource) take(message any) {
	packet, ok := message.(*proto.DataPacket)
	deliver := s.deliver.Load()
	if !ok || deliver == nil { // sound before its time
		return
	}
	frame := 4 * s.format.Channels
	for rest := packet.Data[:len(packet.Data)/frame*frame]; len(rest) > 0; {
		n := min(len(rest)/4, len(s.block))
		for i := range n {
			s.block[i] = math.Float32frombits(binary.LittleEndian.Uint32(rest[4*i:]))
		}
		(*deliver)(s.block[:n])
		rest = rest[4*n:]
	}
}

// Close ends the connection, which does not wait for the server.
func (s *wideSource) Close() error {
	if s.server != nil {
		s.server.Close()
	}
	return nil
}
