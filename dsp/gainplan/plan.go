package gainplan

import (
	"fmt"
	"math"
	"strings"
)

// Setting is one mic-level setting of a camera.
type Setting struct {
	Name      string
	FullScale Level // input at which the camera's meter reads 0 dBFS
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

// Landing is where the output lands at one setting. Figures that rest on an
// unknown level are NaN.
type Landing struct {
	Setting  Setting
	AlignsAt float64 // camera's reading in dBFS for AlignDBFS of ours
	OffsetDB float64 // camera reading = output level + this
	PadDB    float64 // pad to add so that full output just fits; 0: none
	LossDB   float64 // noise penalty: how much of the camera's range the output can't reach
	Advice   string
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
	offset := float64(p.Output) - p.PadDB - float64(s.FullScale)
	l := Landing{Setting: s, OffsetDB: offset, AlignsAt: AlignDBFS + offset, PadDB: math.NaN(), LossDB: math.NaN()}
	if !math.IsNaN(offset) {
		l.PadDB, l.LossDB = padFor(offset), max(0, -offset)
	}
	l.Advice = l.advise()
	return l
}

// padFor gives the smallest pad of common make that takes away so much.
func padFor(excessDB float64) float64 {
	if excessDB <= 0 {
		return 0
	}
	for _, pad := range pads {
		if pad >= excessDB {
			return pad
		}
	}
	return 10 * math.Ceil(excessDB/10)
}

func (l Landing) advise() string {
	switch {
	case math.IsNaN(l.OffsetDB):
		return "unknown: line up by tone, starting with the output low"
	case l.PadDB > 0:
		return fmt.Sprintf("full output would overload it by %.0f dB: add a pad of %.0f dB or lower the output by as much", l.OffsetDB, l.PadDB)
	case l.LossDB > 20:
		return fmt.Sprintf("the top %.0f dB of the camera's range stay empty and its noise counts by as much more: less pad, more output, or a more sensitive setting", l.LossDB)
	case l.LossDB > 6:
		return fmt.Sprintf("fits; the camera's noise counts %.0f dB more than it need", l.LossDB)
	}
	return "fits well"
}

// Best gives the index of the setting to choose: of those that need no pad,
// the one that loses least; else the one that needs the smallest pad; −1 when
// nothing is known.
func Best(landings []Landing) int {
	best := -1
	for i, l := range landings {
		if math.IsNaN(l.OffsetDB) {
			continue
		}
		if best < 0 || cost(l) < cost(landings[best]) {
			best = i
		}
	}
	return best
}

func cost(l Landing) float64 { return 1000*max(0, l.OffsetDB) + l.LossDB }

// Cautions are the words to read before anything is plugged in.
func Cautions() []string {
	return []string{
		"a camera's mic jack expects millivolts and may carry plug-in power, a few volts meant for microphones: use a pad and a DC block or an isolating transformer, as the makers of both devices advise",
		"never connect a loudspeaker output or phantom power to it",
		"start with the output and the camera's mic level at their lowest and raise them slowly",
		"take headphones off while tones are sent: loud sound harms hearing",
		"when in doubt ask a qualified technician",
	}
}
