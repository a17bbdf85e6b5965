package finding

// Limits of the judgement that a check and a report share (common practice, no
// source).
const (
	SilentDBFS  = -85.0 // rms: nothing comes in
	NoisyDB     = 20.0  // voice over room, A-weighted: the room is heard
	DrownedDB   = 10.0  // the same: the words suffer
	HumStopDB   = 20.0  // hum so far under the voice is louder than anything else
	HumFaintDB  = 50.0  // it is heard in pauses
	RumbleDB    = 30.0  // low end under the voice
	GustsDB     = 6.0   // swing of the low end that is wind's
	OffsetLimit = 0.004 // of full scale
	DeadDB      = 40.0  // between the channels
	InvertedAt  = -0.7  // correlation
	CancelsDB   = -3.0  // left of both channels in mono
)

// HumSeverity says what hum so far under the voice means.
func HumSeverity(underDB float64) Severity {
	switch {
	case underDB < HumStopDB:
		return Stop
	case underDB < HumFaintDB:
		return Caution
	}
	return Info
}

// Room judges how far a voice stands above the room, A-weighted.
func Room(snrDBA float64) (f Finding, found bool) {
	switch {
	case snrDBA < DrownedDB:
		return Noisy(Stop, snrDBA), true
	case snrDBA < NoisyDB:
		return Noisy(Caution, snrDBA), true
	}
	return Finding{}, false
}

// Pair judges two channels: how far the other channel lies under that of the
// voice, its number from 1, their correlation and what mono leaves of them.
func Pair(apartDB float64, other int, correlation, monoDB float64) []Finding {
	switch {
	case apartDB > DeadDB:
		return []Finding{Dead(other)}
	case correlation < InvertedAt:
		return []Finding{Inverted()}
	case monoDB < CancelsDB:
		return []Finding{Cancels(-monoDB)}
	}
	return nil
}
