package mixer

// Snapshot is the mixer at one moment. The zero value knows nothing. It may
// be read from any goroutine.
type Snapshot struct {
	inputs     map[string]device
	outputs    map[string]device
	streams    map[string]stream // this process's own, by name
	recordings map[string]stream // likewise
}

type device struct {
	Setting
	index uint32
	whole bool     // its volume is no part of what the system does to our stream on the way, or is in the stream's already
	own   *Setting // of all our streams over it, where the system has one for them together
}

type stream struct {
	Setting
	device uint32 // index
}

// teller is a connection to what knows the mixer; connect, another for each
// system, opens it. One goroutine at a time may ask.
type teller interface {
	read() (Snapshot, error)
	Close() error
}

// Read asks the system once; it takes a few seconds at most.
func Read() (Snapshot, error) {
	c, err := connect()
	if err != nil {
		return Snapshot{}, err
	}
	defer c.Close()
	return c.read()
}

// Input is the setting of an input by its id at the system.
func (s Snapshot) Input(id string) Setting { return s.inputs[id].Setting }

// Output is the setting of an output by its id at the system.
func (s Snapshot) Output(id string) Setting { return s.outputs[id].Setting }

// Through is the setting of a stream of ours together with that of the output
// it goes through. It is unknown until the stream is there.
func (s Snapshot) Through(outputID, streamName string) Setting {
	return s.outputs[outputID].with(s.streams[streamName])
}

// From is what the system itself does to the sound of an input on its way
// into a stream of ours, after the converter. It is unknown until the stream
// is there.
func (s Snapshot) From(inputID, streamName string) Setting {
	return s.inputs[inputID].with(s.recordings[streamName])
}

// with is the setting of a stream over the device.
func (d device) with(own stream) Setting {
	if d.own != nil {
		own = stream{*d.own, d.index}
	}
	switch {
	case !d.Told || !own.Told || own.device != d.index:
		return Setting{}
	case d.whole:
		own.Muted = own.Muted || d.Muted
		return own.Setting
	}
	return own.then(d.Setting)
}
