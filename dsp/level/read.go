package level

import "rollready/dsp/db"

// PeakDBFS is the level bar: it rises at once and falls 20 dB in 1.7 s.
func (m *Meter) PeakDBFS(channel int) float64 { return m.channels[channel].bar.DBFS() }

// RMSDBFS is the rms level of the last 300 ms.
func (m *Meter) RMSDBFS(channel int) float64 {
	c := &m.channels[channel]
	n := min(m.hops, rmsHops)
	if n == 0 {
		return db.RMS(0)
	}
	sum := 0.0
	for _, s := range c.squares[:n] {
		sum += s
	}
	return db.RMS(sum / float64(n))
}

// TakeMax is the highest sample amplitude in the hops ended since the last
// TakeMax.
func (m *Meter) TakeMax(channel int) float64 {
	c := &m.channels[channel]
	taken := c.taken
	c.taken = 0
	return taken
}

// MaxDBFS is the highest sample peak of every frame since the last reset.
func (m *Meter) MaxDBFS(channel int) float64 {
	c := &m.channels[channel]
	return db.FromAmplitude(max(c.max, c.peak))
}

// MeanRMSDBFS is the rms level of every frame since the last reset, −Inf
// where there was none.
func (m *Meter) MeanRMSDBFS(channel int) float64 {
	c := &m.channels[channel]
	return db.RMS((c.energy + c.square) / max(1, m.frames()))
}

// DCOffset is the mean amplitude of every frame since the last reset.
func (m *Meter) DCOffset(channel int) float64 {
	c := &m.channels[channel]
	return (c.total + c.sum) / max(1, m.frames())
}

// ClippedRuns counts the runs of 3 or more successive frames at full scale
// since the last reset.
func (m *Meter) ClippedRuns(channel int) int64 { return m.channels[channel].clip.count }

// FlatTops counts the recurring flat tops under full scale since the last
// reset: the signal clipped before it came here. Tops far under the highest
// peak are of something else, such as bursts of a transmitter.
func (m *Meter) FlatTops(channel int) int64 {
	if m.MaxDBFS(channel)-m.FlatTopDBFS(channel) > farUnderDB {
		return 0
	}
	return m.channels[channel].flat.count
}

// FlatTopDBFS is the mean level of the flat tops, −Inf without any.
func (m *Meter) FlatTopDBFS(channel int) float64 {
	f := &m.channels[channel].flat
	return db.FromAmplitude(f.heights / float64(max(1, f.count)))
}

// SoftTops tells that the loudest waves since the last reset are bent over: an
// overload without edges.
func (m *Meter) SoftTops(channel int) bool { return m.channels[channel].soft.found() }

// frames counts those since the last reset; a reset amid a hop keeps the hop.
func (m *Meter) frames() float64 { return float64(m.counted)*float64(m.hop) + float64(m.at) }

// Fade lets the waves so far count half where soft clipping is told: called again
// and again, it is that of late.
func (m *Meter) Fade() {
	for c := range m.channels {
		m.channels[c].soft.fade()
	}
}
