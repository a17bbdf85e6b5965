package presets

import (
	"errors"
	"math"

	"rollready/dsp/figure"
)

// Volume is how far a sound system turns down, or up, what goes through it,
// in dB; 0 dB changes nothing. The zero value is unknown.
type Volume struct {
	Known      bool
	LoudestDB  float64 // of the channels
	QuietestDB float64 // −Inf for a channel that is turned down to nothing
}

// VolumeOf is the same volume on all channels.
func VolumeOf(db float64) Volume { return Volume{true, db, db} }

// volumeStep is the least difference that counts, in dB.
const volumeStep = 0.1

// Uneven tells that the channels differ, as with the balance turned.
func (v Volume) Uneven() bool { return v.Known && v.LoudestDB-v.QuietestDB > volumeStep }

// Differs tells that both are known and are not the same.
func (v Volume) Differs(from Volume) bool {
	return v.Known && from.Known && (apart(v.LoudestDB, from.LoudestDB) || apart(v.QuietestDB, from.QuietestDB))
}

// apart: two channels turned down to nothing are not.
func apart(a, b float64) bool { return a != b && math.Abs(a-b) > volumeStep }

// String gives "−6.0 dB", "−6.0 to −12.5 dB" where channels differ, or
// "unknown".
func (v Volume) String() string {
	switch {
	case !v.Known:
		return "unknown"
	case v.Uneven():
		return figure.Sprintf("%.1f to %.1f dB", v.LoudestDB, v.QuietestDB)
	}
	return figure.Text(v.LoudestDB, 1) + " dB"
}

// Figures are the loudest and the quietest channel as scripts read them.
func (v Volume) Figures() (loudest, quietest figure.Figure) {
	if !v.Known {
		return figure.Figure(math.NaN()), figure.Figure(math.NaN())
	}
	return figure.Figure(v.LoudestDB), figure.Figure(v.QuietestDB)
}

// form gives the volume as a profile keeps it: the quietest channel only
// where it differs.
func (v Volume) form() (db, quietestDB *float64) {
	if !v.Known {
		return nil, nil
	}
	if db = &v.LoudestDB; v.Uneven() {
		quietestDB = &v.QuietestDB
	}
	return db, quietestDB
}

// volumeOf takes what a profile keeps.
func volumeOf(db, quietestDB *float64) Volume {
	switch {
	case db == nil:
		return Volume{}
	case quietestDB == nil:
		return VolumeOf(*db)
	}
	return Volume{true, *db, *quietestDB}
}

func checkVolume(v Volume) error {
	if !v.Known {
		return nil
	}
	if !(math.Abs(v.LoudestDB) <= 400) || !(v.QuietestDB <= v.LoudestDB) {
		return errors.New("lined_up_volume_db holds no volume: line up again")
	}
	return nil
}
