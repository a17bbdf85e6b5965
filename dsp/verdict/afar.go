package verdict

// afar is a finding as it is told to somebody metres away: one word of at most
// six letters, and one sentence of at most six short words, without its stop.
type afar struct{ word, brief string }

// fromAfar has one for every code.
var fromAfar = map[Code]afar{
	MeteringStopped:  {"FAULT", "Choose input again"},
	InputLost:        {"LOST", "Check input cable"},
	RecordingFailed:  {"NO REC", "Take has stopped"},
	InputMuted:       {"MUTED", "Unmute the input"},
	AllMuted:         {"MUTED", "Unmute the mic"},
	OutputMonitor:    {"STOP", "Choose microphone"},
	DigitalSilence:   {"SILENT", "Is the mic allowed"},
	Silence:          {"SILENT", "Nothing comes in"},
	InputChanged:     {"CHECK", "Another input"},
	InputClipped:     {"OVER", "Turn preamp down"},
	FlatTopped:       {"OVER", "Turn mic down"},
	OutputClipped:    {"OVER", "Turn gain down"},
	Dropouts:         {"CHECK", "Sound breaks off"},
	Lagging:          {"STOP", "Disk too slow"},
	NotFinite:        {"CHECK", "Broken samples"},
	NoVoice:          {"SILENT", "Speak to the mic"},
	Swapped:          {"CHECK", "Mics are swapped"},
	PolarityInverted: {"STOP", "Channels cancel"},
	DeadChannel:      {"CHECK", "A channel is dead"},
	Leaks:            {"CHECK", "A channel is dead"},
	Howl:             {"MUTED", "Howl: speaker down"},
	HeadphonesLost:   {"CHECK", "Headphones lost"},
	CameraLost:       {"LOST", "Check camera plug"},
	CameraMuted:      {"MUTED", "Unmute camera"},
	TooHot:           {"HOT", "Turn gain down"},
	Spill:            {"SPILL", "Mic to its mouth"},
	NoiseHigh:        {"NOISE", "Come closer"},
	Hum:              {"HUM", "Check the cables"},
	CheckNotReady:    {"CHECK", "Read the check"},
	InputVolume:      {"CHECK", "Set input to 0 dB"},
	LineUpChanged:    {"CHECK", "Line up again"},
	TooQuiet:         {"LOW", "Turn gain up"},
	Rumble:           {"RUMBLE", "Shield the mic"},
	DCOffset:         {"CHECK", "Use the high-pass"},
	DiskLow:          {"DISK", "Disk nearly full"},
	BatteryLow:       {"POWER", "Plug power in"},
	CameraNotFed:     {"CHECK", "Camera not fed"},
	SafetyCopy:       {"NOTE", "Safety copy"},
	InputBack:        {"NOTE", "Input is back"},
	Stopped:          {"NOTE", "Take has ended"},
	Speak:            {"SPEAK", "Speak as on camera"},
	LevelRight:       {"GOOD", "Level is right"},
	SafeToRoll:       {"SAFE", "Safe to roll"},
}

// handed are the sentences that depend on where the action is done.
var handed = map[Code]map[Place]string{
	TooHot:     {Interface: "Turn preamp down", Camera: "Camera level down"},
	TooQuiet:   {Interface: "Turn preamp up", Camera: "Camera level up", OnSet: "Come closer"},
	FlatTopped: {Interface: "Turn preamp down"},
	Rumble:     {Here: "Use the high-pass"},
}

// Word is a finding as one word of at most six letters, to be read from afar.
func (f Finding) Word() string {
	switch {
	case f.Code == TooHot && f.Severity == Stop:
		return "OVER"
	case f.Code == FlatTopped && f.Severity != Stop: // it only begins to
		return "HOT"
	}
	return fromAfar[f.Code].word
}

// Brief is what to do in at most six short words, to be read from afar.
func (f Finding) Brief() string {
	if said, found := handed[f.Code][f.Place]; found {
		return said
	}
	return fromAfar[f.Code].brief
}
