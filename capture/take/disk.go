package take

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"time"
)

// diskReserve is left free, so that a take can always be ended and what is
// known of it kept.
const diskReserve = 4 << 20

// lookEvery is how often the disk's free space is asked for.
const lookEvery = time.Second

// unknownTime is a time left that nobody knows.
const unknownTime = time.Duration(-1)

var errDiskFull = errors.New("disk full")

var errMoved = errors.New("its file was moved or removed; what was recorded is where the file is now: roll again")

// disk knows how much can still be recorded.
type disk struct {
	free   int64 // bytes; −1: unknown
	looked time.Time
}

// look asks now and then, and tells whether it did. A disk that does not
// answer is unknown, not full.
func (d *disk) look(r *Recorder, now time.Time) bool {
	if !d.looked.IsZero() && now.Sub(d.looked) < lookEvery {
		return false
	}
	d.looked = now
	free, err := r.config.DiskFree(r.config.Dir)
	if err != nil {
		free = -1
	}
	d.free = free
	return true
}

// moved tells, as often as the disk is looked at, whether another file or none
// is now where the take's was put: its folder renamed, removed, or replaced by
// a link. The sound would go on into a file that nobody finds.
func (r *roll) moved() bool {
	if r.is == nil {
		return false
	}
	now, err := os.Stat(r.take.Path)
	return errors.Is(err, fs.ErrNotExist) || err == nil && !os.SameFile(r.is, now)
}

// left is the time that can still be recorded at this rate; unknownTime if
// nobody knows.
func (d *disk) left(r *Recorder) time.Duration {
	if d.free < 0 || d.looked.IsZero() {
		return unknownTime
	}
	perSecond := r.config.Format.RateHz * len(r.config.tracks()) * r.config.Encoding.Bytes()
	seconds := float64(max(0, d.free-diskReserve)) / float64(perSecond)
	return time.Duration(min(seconds*float64(time.Second), math.MaxInt64/2))
}

func megabytes(n int64) string { return fmt.Sprintf("%.1f MB", float64(n)/1e6) }
