package chain

import (
	"errors"
	"fmt"
	"math"
	"rollready/dsp/db"
	"rollready/dsp/figure"

	"rollready/dsp/filter"
)

// Limits of the gain in dB.
const (
	MinGainDB = -60.0
	MaxGainDB = 40.0
)

// Settings is everything a person can set on the chain. A plain value; the
// zero Settings passes bits unchanged.
type Settings struct {
	GainDB   float64
	HighPass filter.Cut
	LowPass  filter.Cut
	Limit    Limit
}

// Limit is the limiter's setting: a true-peak ceiling in dBTP. Off by default.
type Limit struct {
	On          bool
	CeilingDBTP float64
}

// Flat tells that the chain passes bits unchanged.
func (s Settings) Flat() bool {
	return s.GainDB == 0 && !s.HighPass.On() && !s.LowPass.On() && !s.Limit.On
}

// Unlimited gives the settings without the limiter.
func (s Settings) Unlimited() Settings {
	s.Limit = Limit{}
	return s
}

// Check tells what is wrong with the settings, in words for the user.
func (s Settings) Check() error {
	if math.IsNaN(s.GainDB) || s.GainDB < MinGainDB || s.GainDB > MaxGainDB {
		return fmt.Errorf("gain %g dB: choose %g to %g dB", s.GainDB, MinGainDB, MaxGainDB)
	}
	var limit error
	if s.Limit.On && (math.IsNaN(s.Limit.CeilingDBTP) || s.Limit.CeilingDBTP > 0 || s.Limit.CeilingDBTP < -40) {
		limit = fmt.Errorf("limit %g dBTP: choose -40 to 0 dBTP", s.Limit.CeilingDBTP)
	}
	return errors.Join(wrap("high-pass", s.HighPass.Check()), wrap("low-pass", s.LowPass.Check()), limit)
}

func wrap(what string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: %w", what, err)
}

// ResponseDB gives the steady gain of gain, high-pass and low-pass in dB at hz.
func (s Settings) ResponseDB(hz float64, rateHz int) float64 {
	rate := float64(rateHz)
	return s.GainDB + filter.ResponseDB(filter.HighPass(s.HighPass, rateHz), hz, rate) +
		filter.ResponseDB(filter.LowPass(s.LowPass, rateHz), hz, rate)
}

// Words is the chain in a sentence.
func (s Settings) Words() string {
	return figure.Sprintf("gain %+.1f dB, high-pass %s, low-pass %s", s.GainDB, s.HighPass.Words(), s.LowPass.Words()) + s.Limit.Words()
}

// Words is the limit as it follows other words; "" where it is off.
func (l Limit) Words() string {
	if !l.On {
		return ""
	}
	return figure.Sprintf(", limit %.1f dBTP", l.CeilingDBTP)
}

// ParseLimit reads a ceiling in dBTP, or off.
func ParseLimit(text string) (Limit, error) {
	if text == "off" {
		return Limit{}, nil
	}
	x, err := db.Parse(text)
	return Limit{On: true, CeilingDBTP: x}, err
}
