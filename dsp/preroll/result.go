package preroll

import (
	"errors"
	"fmt"
	"math"

	"rollready/dsp/figure"
	"rollready/dsp/filter"
	"rollready/dsp/hum"
	"rollready/dsp/verdict"
)

// Result is the end of a check.
type Result struct {
	Verdict   verdict.Verdict   `json:"verdict"`
	Findings  []verdict.Finding `json:"findings"` // the most important first
	Recommend Recommend         `json:"recommend"`
	RoomTone  RoomTone          `json:"room_tone"`
	Voice     Voice             `json:"voice"`
	Strips    []Strip           `json:"strips,omitempty"` // of people who spoke in turn; what is above is that of the first
}

// Strip is what suits one person's microphone, and what was heard in it.
type Strip struct {
	Strip     int             `json:"strip"` // from 1
	Name      string          `json:"name"`
	Channel   *int            `json:"channel"` // of the input, from 1; nil: the mean of all
	Verdict   verdict.Verdict `json:"verdict"`
	Recommend Recommend       `json:"recommend"`
	RoomTone  RoomTone        `json:"room_tone"`
	Voice     Voice           `json:"voice"`
}

// Recommend is the settings that suit this voice in this room. NaN stands for
// no advice: without a voice there is none.
type Recommend struct {
	OutputGainDB figure.Figure `json:"output_gain_db"`
	HighPassHz   figure.Figure `json:"high_pass_hz"`
	HighPass     filter.Cut    `json:"-"` // the same with its slope; off without advice
	HandsDB      float64       `json:"-"` // by so much the interface is to be turned first
}

// Once tells what is to be done before the gain suits; "" if nothing.
func (r Recommend) Once() string {
	switch by := math.Abs(r.HandsDB); {
	case r.HandsDB < 0:
		return fmt.Sprintf("once the interface is down by %.0f dB", by)
	case r.HandsDB > 0:
		return fmt.Sprintf("once the interface is up by %.0f dB", by)
	}
	return ""
}

// RoomTone is the noise of the room as it leaves the chain, in the channel of
// the voice.
type RoomTone struct {
	LevelDBFS figure.Figure `json:"level_dbfs"`
	LevelDBA  figure.Figure `json:"level_dba"`
}

// Voice is the voice as it leaves the chain, in its loudest channel.
type Voice struct {
	PeakDBFS      figure.Figure `json:"peak_dbfs"` // true peak, exceeded by 1 % of blocks of 10 ms
	ShortTermLUFS figure.Figure `json:"short_term_lufs"`
	SNRDB         figure.Figure `json:"snr_db"`  // voice without the noise, over the noise
	SNRDBA        figure.Figure `json:"snr_dba"` // the same A-weighted: what is judged
	SummedDB      float64       `json:"-"`       // so much higher at the camera, where channels are summed
}

// ErrShort means that there was too little room tone or voice to judge.
var ErrShort = errors.New("too short: a check needs at least half a second of room tone and two seconds of voice")

const (
	leastRoomSeconds  = 0.5
	leastVoiceSeconds = 2.0
)

// Result judges what was heard so far. It fails with ErrShort only.
func (c *Check) Result() (Result, error) {
	rate := float64(c.rateHz)
	if c.roomFrames < leastRoomSeconds*rate || c.voiceFrames < leastVoiceSeconds*rate {
		return Result{}, ErrShort
	}
	c.voice.low.Finish(hum.QuietShare)
	f := c.figures()
	advice := c.recommend(f)
	findings := c.judge(f, advice)
	verdict.Sort(findings)
	return Result{
		Verdict:   verdict.Judge(findings),
		Findings:  findings,
		Recommend: advice,
		RoomTone:  RoomTone{figure.Figure(f.roomDBFS), figure.Figure(f.roomDBA)},
		Voice:     Voice{figure.Figure(f.peakDBTP), figure.Figure(c.voice.loud.MaxShortTerm()), figure.Figure(f.snrDB), figure.Figure(f.snrDBA), c.voice.summedDB(c.channels)},
	}, nil
}
