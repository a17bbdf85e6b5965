package mixer

import (
	"os"
	"strconv"

	"rollready/capture/internal/soundserver"

	"github.com/jfreymuth/pulse/proto"
)

// Flags of PulseAudio's devices (pulse/def.h, 16.1).
const (
	hardwareVolume = 0x01 // the volume is the device's own, before its converter
	decibelVolume  = 0x20 // of sinks and sources: the volume follows PulseAudio's scale
	flatVolume     = 0x40 // of sinks: a stream's volume already holds the sink's
)

// Snapshot is the mixer at one moment. The zero value knows nothing. It may
// be read from any goroutine.
type Snapshot struct {
	inputs     map[string]input
	outputs    map[string]output
	streams    map[string]stream // this process's own, by name
	recordings map[string]stream // likewise
}

type input struct {
	Setting
	index    uint32
	hardware bool
}

type output struct {
	Setting
	index uint32
	flat  bool
}

type stream struct {
	Setting
	device uint32 // index
}

// Read asks the server once; it takes a few seconds at most.
func Read() (Snapshot, error) {
	c, err := soundserver.Connect(nil)
	if err != nil {
		return Snapshot{}, err
	}
	defer c.Close()
	return read(c)
}

// Input is the setting of an input by its id at the server.
func (s Snapshot) Input(id string) Setting { return s.inputs[id].Setting }

// Output is the setting of an output by its id at the server.
func (s Snapshot) Output(id string) Setting { return s.outputs[id].Setting }

// Through is the setting of a stream of ours together with that of the output
// it goes through. It is unknown until the stream is there.
func (s Snapshot) Through(outputID, streamName string) Setting {
	out, there := s.outputs[outputID]
	own, plays := s.streams[streamName]
	switch {
	case !there || !plays || own.device != out.index:
		return Setting{}
	case out.flat:
		own.Muted = own.Muted || out.Muted
		return own.Setting
	}
	return own.then(out.Setting)
}

// From is what the server itself does to the sound of an input on its way
// into a stream of ours, after the converter. It is unknown until the stream
// is there.
func (s Snapshot) From(inputID, streamName string) Setting {
	in, there := s.inputs[inputID]
	own, records := s.recordings[streamName]
	if !there || !records || own.device != in.index {
		return Setting{}
	}
	if in.hardware {
		own.Muted = own.Muted || in.Muted
		return own.Setting
	}
	return in.then(own.Setting)
}

// read asks for everything.
func read(c *soundserver.Conn) (Snapshot, error) {
	var sinks proto.GetSinkInfoListReply
	var sources proto.GetSourceInfoListReply
	var streams proto.GetSinkInputInfoListReply
	var recordings proto.GetSourceOutputInfoListReply
	for _, ask := range []struct {
		request proto.RequestArgs
		reply   proto.Reply
	}{{&proto.GetSinkInfoList{}, &sinks}, {&proto.GetSourceInfoList{}, &sources},
		{&proto.GetSinkInputInfoList{}, &streams}, {&proto.GetSourceOutputInfoList{}, &recordings}} {
		if err := c.Request(ask.request, ask.reply); err != nil {
			return Snapshot{}, err
		}
	}
	s := Snapshot{inputs: map[string]input{}, outputs: map[string]output{}, streams: map[string]stream{}, recordings: map[string]stream{}}
	for _, k := range sinks {
		s.outputs[k.SinkName] = output{settingOf(k.ChannelVolumes, k.Mute, k.Flags&decibelVolume != 0), k.SinkIndex, k.Flags&flatVolume != 0}
	}
	for _, k := range sources {
		s.inputs[k.SourceName] = input{settingOf(k.ChannelVolumes, k.Mute, k.Flags&decibelVolume != 0), k.SourceIndex, k.Flags&hardwareVolume != 0}
	}
	own := strconv.Itoa(os.Getpid())
	for _, k := range streams {
		if k.Properties["application.process.id"].String() == own {
			s.streams[k.MediaName] = stream{settingOf(k.ChannelVolumes, k.Muted, true), k.SinkIndex}
		}
	}
	for _, k := range recordings {
		if k.Properties["application.process.id"].String() == own {
			s.recordings[k.MediaName] = stream{settingOf(k.ChannelVolumes, k.Muted, true), k.SourceIndex}
		}
	}
	return s, nil
}
