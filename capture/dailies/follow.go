package dailies

import (
	"math"

	"rollready/capture/recording"
	"rollready/capture/track"
	"rollready/dsp/resample"
	"rollready/dsp/verdict"
)

// follower gives chosen channels of a take as they run with a clip's picture.
// One goroutine uses it.
type follower struct {
	take     *recording.Anywhere
	channels []int // of the take
	convert  *resample.Resampler
	next     int64 // frame of the take to be read
	in       []float32
	have     []float32 // read but not used yet
	whole    []float32
}

// newFollower begins at a moment of the take. The take's clock runs so many
// parts per million fast by the clip's.
func newFollower(take *recording.Anywhere, channels []int, takeS, ppm float64, outHz int) (*follower, error) {
	rate := take.Format().RateHz
	f := &follower{take: take, channels: channels, convert: resample.New(rate, outHz, len(channels))}
	// Begin earlier, so that the first frame already knows what came before it.
	skip := int(math.Ceil(float64(f.convert.ReachFrames())*float64(outHz)/float64(rate))) + 1
	step := float64(rate) / float64(outHz) * (1 + ppm*1e-6)
	place := takeS*float64(rate) - float64(skip)*step
	first := math.Floor(place)
	f.next = int64(first)
	f.convert.Begin(place-first, ppm)
	return f, f.read(make([]float32, skip*len(channels)))
}

// read fills dst with whole frames.
func (f *follower) read(dst []float32) error {
	n := len(f.channels)
	for len(dst) > 0 {
		made, used := f.convert.Process(dst, f.have)
		dst, f.have = dst[made*n:], f.have[used*n:]
		if len(dst) > 0 && len(f.have) == 0 {
			if err := f.more(); err != nil {
				return err
			}
		}
	}
	return nil
}

func (f *follower) more() error {
	all := f.take.Format().Channels
	if f.whole == nil {
		f.whole = make([]float32, readFrames*all)
		f.in = make([]float32, readFrames*len(f.channels))
	}
	if err := f.take.From(f.whole, f.next); err != nil {
		return err
	}
	f.next += readFrames
	for i := range readFrames {
		for k, c := range f.channels {
			f.in[i*len(f.channels)+k] = f.whole[i*all+c]
		}
	}
	f.have = f.in
	return nil
}

// chosen gives the channels of a take that have one of the roles, all of them
// where none has or no role is given.
func chosen(r Recording, roles []verdict.Role) (channels []int) {
	for _, g := range track.Groups(r.Tracks) {
		for _, role := range roles {
			if g.Role == role {
				channels = append(channels, g.Channels...)
			}
		}
	}
	if len(channels) == 0 {
		for c := range r.Channels {
			channels = append(channels, c)
		}
	}
	return channels
}
