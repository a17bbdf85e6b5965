package survey

import (
	"math"

	"rollready/dsp/figure"
	"rollready/dsp/noise"
	"rollready/dsp/pair"
	"rollready/dsp/verdict"
)

// room measures the noise floor and the voice above it, and compares the
// channels of a stereo file.
type room struct {
	noise    *noise.Meter
	pair     *pair.Group
	channels int
	found    *facts
}

func newRoom(rateHz, channels int, found *facts) *room {
	r := &room{noise: noise.New(rateHz, channels), pair: pair.NewGroup(channels), channels: channels, found: found}
	return r
}

func (r *room) process(block []float32) {
	r.noise.Process(block)
	r.pair.Process(block)
}

func (r *room) finish(out *Result) {
	best := math.Inf(-1)
	for c := range r.channels {
		floor, floorA := r.noise.FloorDBFS(c), r.noise.FloorDBA(c)
		heard := r.noise.VoiceDBA(c, floorA)
		r.found.voice = append(r.found.voice, voiceFacts{
			dBFS:        max(r.noise.VoiceDBFS(c, floor), heard), // strong rumble swallows a voice in the flat level
			floorDBFS:   floor,
			overRoomDBA: heard - floorA,
			swingDB:     r.noise.FloorSwingDB(c),
			livelyS:     r.noise.LivelySeconds(c, floorA+verdict.SpokenDB),
			quietDC:     r.noise.QuietDC(c),
		})
		if c == 0 || heard > best {
			best, r.found.ch = heard, c
			out.NoiseFloorDBFS, out.NoiseFloorDBA = figure.Figure(floor), figure.Figure(floorA)
		}
	}
	r.found.pair = r.pair
}
