package readout

import (
	"rollready/capture/rig"
	"rollready/dsp/camera"
	"rollready/dsp/figure"
)

// stripJSON is one microphone.
type stripJSON struct {
	Name     string        `json:"name"`
	Channel  *int          `json:"channel"` // of the input, from 1; null: the mean of all
	Input    levelJSON     `json:"input"`
	Output   levelJSON     `json:"output"`
	Zone     *camera.Zone  `json:"zone"` // of the voice on the camera's scale; null until there is one
	Gain     figure.Figure `json:"gain_db"`
	HighPass string        `json:"high_pass"`
	LowPass  string        `json:"low_pass"`
	Inverted bool          `json:"inverted"`
	Muted    bool          `json:"muted"`
}

func newStrip(s *rig.State, c int) stripJSON {
	r, strip := &s.Reading, s.Settings.Strips.Strips[c]
	j := stripJSON{Name: s.Settings.Strips.Called(c), Input: newLevel(r.Input[c]), Output: newLevel(r.Output[c]), Zone: judgedZone(r.Zones[c]),
		Gain: figure.Figure(strip.Chain.GainDB), HighPass: strip.Chain.HighPass.String(), LowPass: strip.Chain.LowPass.String(),
		Inverted: strip.Inverted, Muted: strip.Muted}
	if n := s.Status.Picked.Of[c]; n > 0 {
		j.Channel = &n
	}
	return j
}

// betweenJSON is what lies between the first two microphones.
type betweenJSON struct {
	Apart  *figure.Figure `json:"louder_lu"` // the first voice over the second; null until both were heard
	Voices []voiceJSON    `json:"voices"`
}

// voiceJSON is one person's voice in the other's microphone.
type voiceJSON struct {
	Name     string         `json:"name"`
	Loudness figure.Figure  `json:"loudness_lufs"`
	Spill    figure.Figure  `json:"spill_db"`
	Later    *figure.Figure `json:"later_ms"`
	Inverted *bool          `json:"inverted"`
	Dip      *figure.Figure `json:"comb_dip_db"` // where both go to one channel
	DipHz    *figure.Figure `json:"comb_dip_hz"`
}

// between is nil until somebody was heard.
func between(s *rig.State) *betweenJSON {
	b := s.Reading.Between
	if !b.Voice[0].Known && !b.Voice[1].Known {
		return nil
	}
	j := &betweenJSON{Voices: []voiceJSON{}}
	if lu, known := b.ApartLU(); known {
		apart := figure.Figure(lu)
		j.Apart = &apart
	}
	for who, v := range b.Voice {
		if !v.Known {
			continue
		}
		one := voiceJSON{Name: s.Settings.Strips.Called(who), Loudness: figure.Figure(v.LUFS), Spill: figure.Figure(v.SpillDB)}
		if v.Placed {
			later, inverted := figure.Figure(1000*v.LaterS), v.Inverted
			one.Later, one.Inverted = &later, &inverted
		}
		if comb, ok := v.Comb(s.GainBetween(who)); ok {
			dip, hz := figure.Figure(comb.DipDB), figure.Figure(comb.FirstHz)
			one.Dip, one.DipHz = &dip, &hz
		}
		j.Voices = append(j.Voices, one)
	}
	return j
}
