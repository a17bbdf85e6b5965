package verdict

import "math"

// Limits of the judgement, in one place for all that judge (common practice, no
// source, unless said otherwise).
const (
	// SilentDBFS: with an rms below it nothing comes in. The noise of a
	// microphone and preamplifier at working gain reads −75 … −60 dBFS, that of
	// a converter with 16 bits and nothing connected −93 (half a step of dither
	// and rounding noise, AES17): −85 lies between.
	SilentDBFS = -85.0
	// SilentPeakDBFS is the same for sample peaks: noise of that rms reaches some
	// 10 dB higher.
	SilentPeakDBFS = SilentDBFS + 10

	// ZeroSeconds: only zeros for so long are no chance.
	ZeroSeconds = 3.0

	// InputTargetDBTP is where speech peaks leave an interface room to spare.
	InputTargetDBTP = -12.0
	InputHotDBTP    = -3.0  // speech peaks above leave the converter no room
	InputQuietDBTP  = -40.0 // speech peaks below: far too low
	OutputMaxDBTP   = -1.0  // peaks above overload an output
	ConverterDBFS   = -1.0  // a ceiling from here on is a converter's
	FarBelowDB      = 6.0   // under the target window: more than a matter of taste
	OverloadDB      = 0.5   // headroom of the loudest moments: less is overload

	NoisyDB       = 20.0 // voice over room, A-weighted: the room is heard
	DrownedDB     = 10.0 // the same: the words suffer
	SpeechPeaksDB = 12.0 // of speech over its level, as espeak-ng's voices have them
	SpokenDB      = 15.0 // over the room, A-weighted: speech without a pitch reaches so high
	HumStopDB     = 20.0 // hum so far under the voice is louder than anything else
	HumFaintDB    = 50.0 // it is heard in pauses
	RumbleDB      = 30.0 // low end under the voice
	StandsOutDB   = 2.0  // of the low end over the rest of the room: less is a noise that goes on down there
	GustsDB       = 6.0  // swing of the low end that is wind's
	WindDB        = 15.0 // no voice has more under 50 Hz, under its own level
	ThumpDB       = 6.0  // thumps stand out that reach so far under the voice
	LeastThumps   = 2
	RoomSwingDB   = 3.0   // quietest moments that swing more are no room
	OffsetLimit   = 0.004 // of full scale
	DeadDB        = 40.0  // between the channels
	CrosstalkDB   = 25.0  // between the channels: more is no balance that anybody sets
	CrosstalkAt   = 0.8   // correlation, either way
	InvertedAt    = -0.7  // correlation
	CancelsDB     = -3.0  // left of both channels in mono
	SpillDB       = 10.0  // of a person over the other in the own microphone: less is much spill; three times the distance leaves 9.5
	SwappedDB     = 6.0   // that two voices change between two microphones, less tells no microphone from the other
	ThinDB        = -1.0  // worst dip of two voices summed with opposite polarity that is heard
)

// Spoken tells speech by its own stretches, however long all the rest was: by
// the share of all time that is voiced, or so many seconds with a good deal of
// voiced sound and so many in which the level moved as in speech; those who
// whisper only do the latter.
func Spoken(voicedShare float64, talked int, livelySeconds float64) bool {
	return voicedShare >= 0.05 || talked >= 1 && livelySeconds >= 2 || livelySeconds >= 4
}

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

// IsCrosstalk tells a channel that has nothing of its own but the voice of
// another, so far under it: at the same moment and in the same shape. A second
// microphone hears it later and from elsewhere, over a room of its own.
func IsCrosstalk(apartDB, correlation float64) bool {
	return apartDB > CrosstalkDB && math.Abs(correlation) > CrosstalkAt
}

// Pair judges two channels: how far the other channel lies under that of the
// voice, how the two are called, their correlation and what mono leaves of them.
func Pair(apartDB float64, voice, other Where, correlation, monoDB float64) []Finding {
	switch {
	case apartDB > DeadDB:
		return []Finding{Dead(other, voice)}
	case IsCrosstalk(apartDB, correlation):
		return []Finding{Crosstalk(other, voice, apartDB)}
	case correlation < InvertedAt:
		return []Finding{Inverted(Where{Role: other.Role})}
	case monoDB < CancelsDB:
		return []Finding{Cancels(Where{Role: other.Role}, -monoDB)}
	}
	return nil
}
