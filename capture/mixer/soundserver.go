//go:build !windows && !darwin

package mixer

import (
	"math"
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

// server is one that speaks PulseAudio's protocol.
type server struct{ *soundserver.Conn }

func connect() (teller, error) {
	c, err := soundserver.Connect(nil)
	return server{c}, err
}

// read asks for everything.
func (c server) read() (Snapshot, error) {
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
	s := Snapshot{inputs: map[string]device{}, outputs: map[string]device{}, streams: map[string]stream{}, recordings: map[string]stream{}}
	for _, k := range sinks {
		s.outputs[k.SinkName] = device{Setting: serverSetting(k.ChannelVolumes, k.Mute, k.Flags&decibelVolume != 0), index: k.SinkIndex, whole: k.Flags&flatVolume != 0}
	}
	for _, k := range sources {
		s.inputs[k.SourceName] = device{Setting: serverSetting(k.ChannelVolumes, k.Mute, k.Flags&decibelVolume != 0), index: k.SourceIndex, whole: k.Flags&hardwareVolume != 0}
	}
	own := strconv.Itoa(os.Getpid())
	for _, k := range streams {
		if k.Properties["application.process.id"].String() == own {
			s.streams[k.MediaName] = stream{serverSetting(k.ChannelVolumes, k.Muted, true), k.SinkIndex}
		}
	}
	for _, k := range recordings {
		if k.Properties["application.process.id"].String() == own {
			s.recordings[k.MediaName] = stream{serverSetting(k.ChannelVolumes, k.Muted, true), k.SourceIndex}
		}
	}
	return s, nil
}

// serverSetting words a server's channel volumes. scaled tells that they
// follow PulseAudio's own scale; only then are they decibels: the scale is
// cubic and 0x10000 stands for 0 dB. Source: PulseAudio's documentation,
// "Volume Control", and the constants PA_VOLUME_NORM and PA_VOLUME_MUTED
// (pulse/volume.h, 16.1).
func serverSetting(channels proto.ChannelVolumes, muted, scaled bool) Setting {
	channelsDB := make([]float64, len(channels))
	for i, volume := range channels {
		channelsDB[i] = 60 * math.Log10(float64(volume)/float64(proto.VolumeNorm))
	}
	return settingOf(channelsDB, muted, scaled)
}
