package bands

import (
	"math"

	"rollready/dsp/figure"
)

// Count is the number of bands, 16 Hz … 20 kHz.
const Count = 32

// Info describes a band. Midband and edges are exact base-ten one-third-octave
// frequencies in Hz after IEC 61260-1: 1000·10^(x/10), and 10^(1/20) to either
// side.
type Info struct {
	NominalHz float64 // what the band is called
	MidHz     float64
	LowHz     float64
	HighHz    float64
	LivesHere string // what a person filming speech usually finds there
}

// JSON is the band as scripts read it.
func (b Info) JSON() any {
	return struct {
		NominalHz figure.Figure `json:"nominal_hz"`
		MidHz     figure.Figure `json:"mid_hz"`
		LowHz     figure.Figure `json:"low_hz"`
		HighHz    figure.Figure `json:"high_hz"`
		Usually   string        `json:"usually"`
	}{figure.Figure(b.NominalHz), figure.Figure(b.MidHz), figure.Figure(b.LowHz), figure.Figure(b.HighHz), b.LivesHere}
}

// first is the index x of the 16 Hz band.
const first = -18

// At describes band i, 0 ≤ i < Count.
func At(i int) Info {
	mid := 1000 * math.Pow(10, float64(first+i)/10)
	edge := math.Pow(10, 1.0/20)
	n := names[i]
	return Info{NominalHz: n.hz, MidHz: mid, LowHz: mid / edge, HighHz: mid * edge, LivesHere: n.lives}
}

// Usable is the number of bands that exist at a sample rate: those whose upper
// edge lies under half of it.
func Usable(rateHz int) int {
	n := 0
	for n < Count && At(n).HighHz < float64(rateHz)/2 {
		n++
	}
	return n
}

type name struct {
	hz    float64
	lives string // common practice, no source
}

// names holds the nominal frequencies of ISO 266.
var names = [Count]name{
	{16, "gusts on the microphone, heavy lorries; felt more than heard"},
	{20, "gusts, slammed doors, a stage floor under steps"},
	{25, "wind, trains under the building, large fans"},
	{31.5, "wind, bumped tripods, ventilation shafts"},
	{40, "handling of the boom, engines idling, air conditioning"},
	{50, "mains hum where mains is 50 Hz; traffic"},
	{63, "mains hum where mains is 60 Hz; steps, knocks on the table"},
	{80, "lowest male voices; plosive thumps, cable bumps"},
	{100, "pitch of deep voices; second harmonic of 50 Hz hum"},
	{125, "pitch of most male voices; second harmonic of 60 Hz hum"},
	{160, "body of male voices; boom of small rooms; hum harmonics"},
	{200, "pitch of most female voices; boom when the microphone is close"},
	{250, "pitch of children; muddy rooms; lapel microphones under cloth"},
	{315, "warmth of a voice; boxy rooms"},
	{400, "lower vowels; bare walls ringing"},
	{500, "vowels, the bulk of a voice's power"},
	{630, "vowels; speech through a wall is mostly this and below"},
	{800, "open vowels; a nasal tone when too strong"},
	{1000, "vowels; where line-up tone sits"},
	{1250, "upper vowels; tinny loudspeakers and telephones"},
	{1600, "vowels told apart; words become clear from here up"},
	{2000, "consonants, the clarity of words"},
	{2500, "consonants; where the ear is keen; babies and alarms"},
	{3150, "presence of a voice; harsh when too strong"},
	{4000, "k, t and ch; keyboards, crockery"},
	{5000, "edges of words; s of deep voices; rustling paper"},
	{6300, "s and sh of male voices; clothes rubbing a lapel microphone"},
	{8000, "s of female voices; leaves, light rain, computer fans"},
	{10000, "air and breath; hiss of a weak preamplifier"},
	{12500, "breath, the last of speech; crickets, coins, keys"},
	{16000, "sparkle hardly needed for speech; noise of switching lamps"},
	{20000, "almost nothing to hear; chargers, screens and dimmers leaking in"},
}
