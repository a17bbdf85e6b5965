package gainplan

import (
	"fmt"
	"math"
	"strings"

	"rollready/dsp/figure"
)

// Setting is one mic-level setting of a camera.
type Setting struct {
	Name      string `json:"name"`
	FullScale Level  `json:"full_scale_dbv"` // input at which the camera's meter reads 0 dBFS
}

// ParseSetting reads NAME=LEVEL.
func ParseSetting(text string) (Setting, error) {
	at := strings.LastIndex(text, "=")
	if at < 1 {
		return Setting{}, fmt.Errorf("%q: write it like \"mic low=-30dBV\"", text)
	}
	level, err := ParseLevel(text[at+1:])
	return Setting{Name: strings.TrimSpace(text[:at]), FullScale: level}, err
}

// CheckPad tells what is wrong with a pad in dB, in words for the user.
func CheckPad(padDB float64) error {
	if !(padDB >= 0 && padDB <= 100) {
		return fmt.Errorf("a pad takes away 0 to 100 dB, not %g", padDB)
	}
	return nil
}

// Plan is what is known before anything is plugged in.
type Plan struct {
	Output   Level   // the interface's output for a sine at 0 dBFS
	PadDB    float64 // pad in the cable, ≥ 0
	Settings []Setting
}

// AlignDBFS is the output level whose place on the camera is worked out.
const AlignDBFS = -20.0

// Landing is where the output lands at one setting as it is cabled, and what
// to do about it. Figures that rest on an unknown level are NaN.
type Landing struct {
	Setting
	AlignsAt figure.Figure `json:"aligns_at_dbfs"`   // camera's reading in dBFS for AlignDBFS of ours
	OffsetDB figure.Figure `json:"offset_db"`        // camera reading = output level + this
	PadDB    figure.Figure `json:"add_pad_db"`       // pad to add so that full output just fits; below 0: to take out
	LossDB   figure.Figure `json:"noise_penalty_db"` // noise penalty then: how far full output stays below full scale
	Advice   string        `json:"advice"`
}

// pads are the values pads are commonly made in: common practice, no source.
var pads = [...]float64{10, 15, 20, 25, 30, 40, 50, 60}

// Land works out every setting, in order.
func (p Plan) Land() []Landing {
	list := make([]Landing, len(p.Settings))
	for i, s := range p.Settings {
		list[i] = p.land(s)
	}
	return list
}

func (p Plan) land(s Setting) Landing {
	excess := float64(p.Output) - float64(s.FullScale) // without any pad
	offset := excess - p.PadDB
	unknown := figure.Figure(math.NaN())
	l := Landing{Setting: s, OffsetDB: figure.Figure(offset), AlignsAt: figure.Figure(AlignDBFS + offset), PadDB: unknown, LossDB: unknown}
	if !math.IsNaN(offset) {
		pad := p.padFor(excess)
		l.PadDB, l.LossDB = figure.Figure(pad-p.PadDB), figure.Figure(max(0, pad-excess))
	}
	l.Advice = l.advise()
	return l
}

// padFor gives the smallest pad in all that takes away so much: the one there
// is, one more behind it, or another one or none in its place.
func (p Plan) padFor(excessDB float64) float64 {
	return min(p.PadDB+commonPad(excessDB-p.PadDB), commonPad(excessDB))
}

// roundingDB is what the figures of makers are rounded by: so little too much
// overloads nothing (common practice, no source).
const roundingDB = 0.5

// commonPad gives the smallest pad of common make that takes away so much.
func commonPad(excessDB float64) float64 {
	if excessDB <= roundingDB {
		return 0
	}
	for _, pad := range pads {
		if pad >= excessDB-roundingDB {
			return pad
		}
	}
	return 10 * math.Ceil(excessDB/10)
}

func (l Landing) advise() string {
	switch {
	case !l.OffsetDB.Known():
		return "unknown: line up by tone, starting with the output low"
	case l.PadDB > 0:
		return fmt.Sprintf("full output would overload it by %.0f dB: add a pad of %.0f dB or lower the output by %.0f dB", l.OffsetDB, l.PadDB, math.Ceil(float64(l.OffsetDB)))
	case l.PadDB < 0:
		return fmt.Sprintf("the pad takes too much: the camera's noise is %.0f dB higher than it need be, with %.0f dB less pad %s; the DC block stays in", -l.OffsetDB, -l.PadDB, l.loss("not at all", "%.0f dB"))
	case l.LossDB > 6:
		return fmt.Sprintf("fits, but the camera's noise is %.0f dB higher than it need be: more output or a more sensitive setting", l.LossDB)
	}
	return "fits well"
}

// Best gives the index of the setting to choose, each with the pad that suits
// it: the one with the least noise at which nothing overloads, in whole dB;
// among equals the one that needs no other pad, then one less, then one more.
// It is −1 when nothing is known. A pad is a cheap part; noise can't be mended.
//
// The camera's noise is taken to lie equally far below full scale at all of
// its settings, as long as nobody measured it.
func Best(landings []Landing) int { return least(landings, figure.Figure(math.Inf(1))) }

// WithoutPad is like Best among the settings that need no pad to be added.
func WithoutPad(landings []Landing) int { return least(landings, 0) }

func least(landings []Landing, mostPadDB figure.Figure) int {
	best := -1
	for i, l := range landings {
		if !l.OffsetDB.Known() || l.PadDB > mostPadDB {
			continue
		}
		if best < 0 || l.cost() < landings[best].cost() {
			best = i
		}
	}
	return best
}

func (l Landing) cost() float64 {
	effort := 0.0
	switch {
	case l.PadDB < 0:
		effort = 0.1
	case l.PadDB > 0:
		effort = 0.2
	}
	return math.Round(float64(l.LossDB)) + effort
}

// Choice says which setting to choose and what it costs, and where that is a
// pad to be added, what doing without it costs; "" when nothing is known.
func Choice(landings []Landing) string {
	best, without := Best(landings), WithoutPad(landings)
	if best < 0 {
		return ""
	}
	text := fmt.Sprintf("Choose %s: nothing overloads, and the camera's noise is %s.", landings[best].words(),
		landings[best].loss("as low as it can be", "%.0f dB higher than it need be"))
	switch {
	case best == without && landings[best].LossDB > 6:
		text += " More output or a more sensitive setting mends that."
	case best == without:
	case without < 0:
		text += " Without another pad every setting overloads: then lower the output."
	default:
		text += fmt.Sprintf(" Without another pad: %s, noise %.0f dB higher.", landings[without].words(), landings[without].LossDB)
	}
	return text
}

// loss words by how much the noise is higher than it need be, or none where
// that rounds to nothing.
func (l Landing) loss(none, format string) string {
	if math.Round(float64(l.LossDB)) <= 0 {
		return none
	}
	return fmt.Sprintf(format, l.LossDB)
}

// words are the setting with what is to be done to the pad.
func (l Landing) words() string {
	switch {
	case l.PadDB > 0:
		return fmt.Sprintf("%s with %.0f dB more pad", l.Name, l.PadDB)
	case l.PadDB < 0:
		return fmt.Sprintf("%s with %.0f dB less pad (the DC block stays in)", l.Name, -l.PadDB)
	}
	return l.Name + " as it is"
}

// Cautions are the words to read before anything is plugged in.
func Cautions() []string {
	return []string{
		"a camera's mic jack expects millivolts and may carry plug-in power, a few volts: use a pad and a DC block or an isolating transformer, as both makers advise",
		"never connect a loudspeaker output or phantom power to it",
		"begin with output and mic level at their lowest, raise them slowly",
		"take headphones off while tones are sent: loud sound harms hearing",
		"when in doubt ask a qualified technician",
	}
}
