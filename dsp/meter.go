package dsp

// Meter turns input and output frames into Readings. One goroutine uses it.
// The same frames give the same Readings however they are cut into blocks.
type Meter struct{}

// NewMeter makes a meter for 1 or 2 channels.
func NewMeter(rateHz, channels int, v View) *Meter { return &Meter{} }

// Process meters interleaved frames before and after the chain; both blocks
// have the same length. It does not allocate.
func (m *Meter) Process(input, output []float32) {}

// Reading gives the newest reading.
func (m *Meter) Reading() Reading { return Reading{} }

// SetView changes how the meters are read from the next frame on.
func (m *Meter) SetView(v View) {}

// ResetHolds clears holds, maxima, clip counts and integrated loudness.
func (m *Meter) ResetHolds() {}
