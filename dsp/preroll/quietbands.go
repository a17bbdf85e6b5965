package preroll

import "rollready/dsp/bands"

// QuietBands is the mean rms level in dBFS of a quiet room, band by band after
// IEC 61260-1; −Inf for bands the sample rate does not carry.
type QuietBands [bands.Count]float64

// settleSeconds is longer than the lowest band's filter takes to settle.
const settleSeconds = 1

// QuietBands measures the room tone that was kept, at the input: each channel,
// and last the mean of all, as bands.Sum hears them. It takes some tenths of a
// second and gives nil before Quiet is done.
func (g *Guide) QuietBands() []QuietBands {
	frames := g.frames[0]
	if g.step == Quiet {
		return nil
	}
	list := make([]QuietBands, 0, g.channels+1)
	for channel := range g.channels + 1 {
		m := bands.New(g.rateHz, g.channels)
		m.SetChannel(channel)
		if channel == g.channels {
			m.SetChannel(bands.Sum)
		}
		m.Process(frames[:settleSeconds*g.rateHz*g.channels])
		m.ResetMaxima()
		m.Process(frames)
		var q QuietBands
		for i := range q {
			q[i] = m.MeanDBFS(i)
		}
		list = append(list, q)
	}
	return list
}
