package sequence

import (
	"math"

	"rollready/dsp/db"
)

// At gives the amplitude on the left and right side, t seconds after the
// section's start, 0 ≤ t < Seconds.
func (s Section) At(t float64) (left, right float64) {
	switch s.Kind {
	case Pause, Silence:
		return 0, 0
	case Pulses:
		x := db.ToAmplitude(s.LevelDBFS) * Pulse(math.Mod(t, PulseEvery))
		return x, x
	}
	x := s.envelope(t) * math.Sin(s.phase(t))
	switch s.Kind {
	case IdentLeft:
		return x, 0
	case IdentRight:
		return 0, x
	}
	return x, x
}

// Pulse is one polarity pulse, positive throughout: sin²(πt/w) for 0 ≤ t < w,
// w = PulseSeconds, else 0.
func Pulse(t float64) float64 {
	if t < 0 || t >= PulseSeconds {
		return 0
	}
	s := math.Sin(math.Pi * t / PulseSeconds)
	return s * s
}

// phase is that of the section's tone in radians.
func (s Section) phase(t float64) float64 {
	switch s.Kind {
	case StartMarker:
		return chirp(t, s.Seconds, markerLowHz, markerHighHz)
	case EndMarker:
		return chirp(t, s.Seconds, markerHighHz, markerLowHz)
	case Sweep:
		return SweepPhase(t)
	}
	turns := ToneHz * t
	return 2 * math.Pi * (turns - math.Floor(turns))
}

// chirp is the phase of a tone whose frequency runs in a straight line.
func chirp(t, seconds, from, to float64) float64 {
	return 2 * math.Pi * t * (from + (to-from)*t/(2*seconds))
}

// SweepPhase is the phase in radians of the logarithmic sweep, t seconds
// after its start: the integral of 2π·f1·(f2/f1)^(t/T).
func SweepPhase(t float64) float64 {
	rate := math.Log(SweepToHz/SweepFromHz) / sweepSeconds
	return 2 * math.Pi * SweepFromHz * math.Expm1(rate*t) / rate
}

// SweepTime is the second after its start at which the sweep passes hz.
func SweepTime(hz float64) float64 {
	return sweepSeconds * math.Log(hz/SweepFromHz) / math.Log(SweepToHz/SweepFromHz)
}

// envelope is the amplitude with its fades, raised cosines of 5 ms.
func (s Section) envelope(t float64) float64 {
	full := db.ToAmplitude(s.LevelDBFS)
	a := full
	if t < fadeSeconds {
		a = s.from + (full-s.from)*rise(t/fadeSeconds)
	}
	if left := s.Seconds - t; s.fadeOut && left < fadeSeconds {
		a *= rise(left / fadeSeconds)
	}
	return a
}

func rise(x float64) float64 { return 0.5 - 0.5*math.Cos(math.Pi*x) }
