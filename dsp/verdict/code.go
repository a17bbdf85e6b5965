package verdict

import "slices"

// Code names a finding for scripts.
type Code string

// The codes, the weightiest first within a severity.
const (
	MeteringStopped  Code = "metering-stopped" // the program's own fault
	InputLost        Code = "input-lost"
	RecordingFailed  Code = "recording-failed" // a take ended by itself
	InputMuted       Code = "input-muted"      // by the system
	AllMuted         Code = "muted"            // every microphone, here
	OutputMonitor    Code = "output-monitor"   // the input is what an output plays
	DigitalSilence   Code = "digital-silence"  // nothing but zeros comes in, which no microphone delivers
	Silence          Code = "silence"          // nothing comes in
	InputChanged     Code = "input-changed"    // another microphone than last time
	InputClipped     Code = "input-clipped"    // the converter overloads
	FlatTopped       Code = "flat-topped"      // it clips before the interface
	OutputClipped    Code = "output-clipped"   // our own gain overloads
	Dropouts         Code = "dropouts"         // frames lost
	Lagging          Code = "lagging"          // the disk is too slow
	NotFinite        Code = "not-finite"
	NoVoice          Code = "no-voice"
	Swapped          Code = "swapped" // the names lie on the wrong microphones
	PolarityInverted Code = "polarity-inverted"
	DeadChannel      Code = "dead-channel"
	Leaks            Code = "crosstalk"       // a channel has only what leaks into it
	Howl             Code = "howl"            // the headphones feed the microphone
	HeadphonesLost   Code = "headphones-lost" // away, or stopped
	CameraLost       Code = "camera-lost"     // its output is away
	CameraMuted      Code = "camera-muted"    // its output, by the system
	TooHot           Code = "too-hot"
	Spill            Code = "spill" // a microphone hears another person nearly as loud as its own
	NoiseHigh        Code = "noise-high"
	Hum              Code = "hum"
	CheckNotReady    Code = "check-not-ready" // the guided check said so
	InputVolume      Code = "input-volume"    // the system turns the input
	LineUpChanged    Code = "line-up-changed" // what was lined up is no longer so
	TooQuiet         Code = "too-quiet"
	Rumble           Code = "rumble" // rumble, wind, thumps
	DCOffset         Code = "dc-offset"
	DiskLow          Code = "disk-low"
	BatteryLow       Code = "battery-low"
	CameraNotFed     Code = "camera-not-fed" // no output is chosen for it
	SafetyCopy       Code = "safety-copy"    // a recording has its sound on a lower channel as well
	InputBack        Code = "input-back"
	Stopped          Code = "stopped" // a take, by itself, as asked
	Speak            Code = "speak"   // not heard enough to judge
	LevelRight       Code = "level-right"
	SafeToRoll       Code = "safe-to-roll"
)

var codes = [...]Code{MeteringStopped, InputLost, RecordingFailed, InputMuted, AllMuted, OutputMonitor, DigitalSilence, Silence, InputChanged, InputClipped,
	FlatTopped, OutputClipped, Dropouts, Lagging, NotFinite, NoVoice, Swapped, PolarityInverted, DeadChannel, Leaks, Howl, HeadphonesLost, CameraLost, CameraMuted,
	InputVolume, TooHot, Spill, NoiseHigh, Hum, CheckNotReady, LineUpChanged, TooQuiet, Rumble, DCOffset, DiskLow, BatteryLow, CameraNotFed, SafetyCopy, InputBack,
	Stopped, Speak, LevelRight, SafeToRoll}

func (c Code) rank() int { return slices.Index(codes[:], c) }

// Codes lists all, the weightiest first within a severity.
func Codes() []Code { return slices.Clone(codes[:]) }
