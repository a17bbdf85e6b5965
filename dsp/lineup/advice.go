package lineup

import (
	"math"

	"rollready/dsp/figure"
	"rollready/dsp/lineup/sequence"
)

// Practice that the advice follows: common practice, no source.
const (
	windowDB     = 6.0  // width of the target window
	underClipDB  = 6.0  // from the window's top to the clip point
	quietDB      = 40.0 // wanted from the noise to the window's bottom
	earlyClipDB  = -6.0 // a clip point under this output level wastes the output
	faintDB      = -12.0
	poorDistorts = 1.0 // percent at alignment level
)

// top is the camera's clip point on its own scale.
func (r Result) top() float64 { return r.Scale().ClipDBFS }

// place works out usable range, pad and target window.
func (r *Result) place() {
	r.UsableDB = none
	if r.NoiseDBA.Known() {
		r.UsableDB = Figure(r.top()) - r.NoiseDBA
	}
	if r.ClipDBFS.Known() && float64(r.ClipDBFS) < earlyClipDB {
		r.PadDB = 5 * math.Ceil((earlyClipDB-float64(r.ClipDBFS)+3)/5)
	}
	high := r.top() - underClipDB
	if r.Clip.Kind == SoftClip && r.NoiseDBA.Known() && float64(r.NoiseDBA)+quietDB+windowDB+3 < high {
		high -= 3 // a rounded top distorts early: keep away from it where the noise leaves room
	}
	r.Target = Window{LowDBFS: half(high - windowDB), HighDBFS: half(high)}
}

func half(x float64) float64 { return math.Round(2*x) / 2 }

// advise lists what to do, most urgent first.
func (r Result) advise() []string {
	var list []string
	add := func(when bool, format string, args ...any) {
		if when {
			list = append(list, figure.Sprintf(format, args...))
		}
	}
	add(r.AutomaticLevel.On, "automatic level is on: turn it off in the camera's sound menu and line up again; the figures below hold only until it moves")
	add(r.Limiter.On, "a limiter in the camera holds back what is louder than %s dBFS output: turn it off if the menu allows it, else stay below", r.Clip.CompressionDBFS)
	add(r.PadDB > 0, "the camera clips at %.1f dBFS output: set its mic level lower; if it is at its lowest, add a pad of %.0f dB or lower the interface's output by as much, and line up again", float64(r.ClipDBFS), r.PadDB)
	list = append(list, r.adviseLevel()...)
	list = append(list, r.adviseWiring()...)
	add(r.DistortionPercent > poorDistorts, "%.1f %% distortion at %.0f dBFS output: the input is overloaded or failing; lower the output, then check cable and adapter", float64(r.DistortionPercent), sequence.AlignDBFS)
	add(!r.AutomaticLevel.On && r.PadDB == 0, "target window: %.1f to %.1f dBFS on the camera's meter; keep speech peaks in it", r.Target.LowDBFS, r.Target.HighDBFS)
	return list
}

// adviseLevel weighs mic level against noise.
func (r Result) adviseLevel() []string {
	full := float64(r.OffsetDB) + sequence.HighestDBFS // the loudest the camera can be given
	switch {
	case r.AutomaticLevel.On || r.PadDB > 0:
		return nil
	case full < r.Target.LowDBFS:
		return []string{figure.Sprintf("even full output reaches only %.0f dBFS on the camera: raise its mic level by one step or take the pad out, and line up again", full)}
	case float64(r.OffsetDB) < faintDB && r.noisy():
		return []string{"the camera hears too little: raise its mic level by one step or the interface's output, and line up again"}
	case r.noisy():
		return []string{figure.Sprintf("the noise is only %.0f dB under the target window: choose a lower mic level and give the camera more output instead; check the cable", r.quiet())}
	}
	return []string{"the mic level is right: note it in the camera's profile and leave it"}
}

// quiet is the distance from the noise to the bottom of the target window.
func (r Result) quiet() float64 { return r.Target.LowDBFS - float64(r.NoiseDBA) }

func (r Result) noisy() bool { return r.NoiseDBA.Known() && r.quiet() < quietDB }

func (r Result) adviseWiring() []string {
	var list []string
	switch r.Wiring {
	case Swapped:
		list = append(list, "left and right are swapped: exchange the plugs")
	case LeftOnly, RightOnly:
		list = append(list, "only one side arrives: check cable and plug, or use that side alone")
	case Summed:
		list = append(list, "left and right arrive as one: send the same sound to both")
	case Odd:
		list = append(list, "the channels are wired oddly: check cable and the camera's channel assignment")
	}
	if r.Polarity == Inverted {
		list = append(list, "polarity is inverted: harmless for one microphone, wrong beside another recording; check for a balanced cable wired in reverse")
	}
	for _, c := range r.Channels {
		if c.Carries != Nothing && c.Polarity != r.Polarity {
			list = append(list, "the channels have opposite polarity and cancel in mono: a balanced plug in a stereo socket does that; use the right cable")
			break
		}
	}
	return list
}
