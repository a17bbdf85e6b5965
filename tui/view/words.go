package view

import (
	"math"
	"strconv"

	"rollready/capture/mixer"
	"rollready/dsp"
	"rollready/dsp/chain"
	"rollready/dsp/filter"
	"rollready/dsp/verdict"
	"rollready/tui/canvas"
	"rollready/tui/desk"
	"rollready/tui/format"
	"rollready/tui/theme"
	"rollready/tui/widget"
)

// VerdictWord is a verdict on its colour.
func VerdictWord(f *widget.Frame, v verdict.Verdict) (string, canvas.Style) {
	switch v {
	case verdict.Ready:
		return "READY", f.Chip(theme.Target)
	case verdict.Cautious:
		return "CAUTION", f.Chip(theme.Hot)
	}
	return "NOT READY", f.Chip(theme.Over)
}

// ChainWords writes a chain in short.
func ChainWords(s chain.Settings) string {
	text := format.Signed(s.GainDB) + " dB"
	if s.HighPass.On() {
		text += ", from " + CutWords(s.HighPass)
	}
	if s.LowPass.On() {
		text += ", up to " + CutWords(s.LowPass)
	}
	if s.Limit.On {
		text += ", limit " + LimitWords(s.Limit)
	}
	return text
}

// CutWords writes a filter's setting: "80 Hz 24 dB/oct", "off".
func CutWords(c filter.Cut) string {
	if !c.On() {
		return "off"
	}
	return format.Hertz(c.Hz) + " " + strconv.Itoa(c.Slope) + " dB/oct"
}

// ChannelWords name the channels of the input that are used.
func ChannelWords(d *desk.Desk) string {
	if d.Settings.Channels != "" {
		return d.Settings.Channels
	}
	if d.Reading.Channels == 2 {
		return "1+2"
	}
	return "1"
}

// PresetWords name the preset in use, and tell that the chain was changed since.
func PresetWords(d *desk.Desk) string {
	name := d.Settings.Preset
	if name == "" {
		return "none"
	}
	if d.Settings.Strips.Sent() != d.Taken.Sent() {
		return name + ", changed"
	}
	return name
}

var holdTimes = [...]float64{0, 1, 2, 5, 10, math.Inf(1)}

// HoldTime goes n on in the hold times, in seconds.
func HoldTime(now float64, n int) float64 {
	at := 0
	for i, t := range holdTimes {
		if t <= now {
			at = i
		}
	}
	return holdTimes[min(max(at+n, 0), len(holdTimes)-1)]
}

// HoldWords say how long peaks are held.
func HoldWords(seconds float64) string {
	switch {
	case seconds <= 0:
		return "hold off"
	case math.IsInf(seconds, 1):
		return "hold ∞"
	}
	return "hold " + format.FigurePlain(seconds) + " s"
}

// LimitWords write a limiter's ceiling.
func LimitWords(l chain.Limit) string {
	if !l.On {
		return "off"
	}
	return format.Figure(l.CeilingDBTP) + " dBTP"
}

// Ballistics are the ways the bars can move, in the order of the key.
var Ballistics = [...]dsp.Ballistics{dsp.DigitalPeak, dsp.PPMTypeI, dsp.PPMTypeII, dsp.VU}

// BallisticWords names how the bars move. "peak" alone would be read as a level.
var BallisticWords = map[dsp.Ballistics]struct{ Full, Short string }{
	dsp.DigitalPeak: {"digital peak", ""},
	dsp.PPMTypeI:    {"quasi-peak I", "PPM I"},
	dsp.PPMTypeII:   {"quasi-peak II", "PPM II"},
	dsp.VU:          {"VU", "VU"},
}

// VolumeWords say what the sound system does to an output.
func VolumeWords(s mixer.Setting) string {
	switch v := s.Volume; {
	case s.Muted:
		return "MUTED"
	case !v.Known:
		return "unknown"
	case v.Uneven():
		return format.Figure(v.LoudestDB) + "/" + format.Figure(v.QuietestDB) + " dB"
	default:
		return format.Figure(v.LoudestDB) + " dB"
	}
}
