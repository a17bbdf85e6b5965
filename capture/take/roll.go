package take

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"time"

	"rollready/capture"
	"rollready/capture/take/bwf"
	"rollready/dsp/db"
	"rollready/dsp/verdict"
	"rollready/presets/whole"
)

const (
	// goodEvery is how much sound is written between two MakeGoods. What one
	// makes good is safe against a power cut with the next, so at most two of
	// them and a step are at stake: under a second.
	goodEvery = 350 * time.Millisecond
	// goodBacklog is the same while more sound waits than that.
	goodBacklog = 4 * goodEvery
	// saveEvery is how often what is known of a take is kept while it changes.
	saveEvery = time.Second
	// safetyDB is how much lower the safety track is.
	safetyDB = -10.0
	// RoomToneSeconds is how long room tone is recorded.
	RoomToneSeconds = 30
)

var safetyFactor = float32(db.ToAmplitude(safetyDB))

// What says what is to be recorded.
type What struct {
	Scene    string
	Number   int // 0: the next
	Note     string
	RoomTone bool
	Seconds  float64 // the take ends by itself after these, without the pre-record; 0: never
}

// RoomTone is 30 s of the quiet of the place.
func RoomTone(scene string) What {
	return What{Scene: scene, RoomTone: true, Seconds: RoomToneSeconds}
}

// roll is a take while it rolls.
type roll struct {
	take  Take
	file  *bwf.Writer
	is    os.FileInfo // the file as it was made; nil: not known
	from  int64       // position of the first frame
	added int64       // frames of silence for an input that is away
	limit int64       // frames; 0: none
	clips int64       // known to the log
	begun drops       // counts at the start
	meter *measure
	dirty bool
	saved time.Time
}

type drops struct{ lag, dropped int64 }

// ErrRolling means that a take is rolling already.
var ErrRolling = errors.New("a take is rolling: stop it first")

// ErrNotRolling means that there is no take to stop.
var ErrNotRolling = errors.New("no take is rolling")

// Roll begins a take with what was kept of the sound before now. It makes the
// folder if need be and waits for the disk.
func (r *Recorder) Roll(w What) (Take, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.roll != nil {
		return r.roll.take, ErrRolling
	}
	if err := CheckScene(w.Scene); err != nil {
		return Take{}, err
	}
	if err := whole.Folder(r.config.Dir); err != nil {
		return Take{}, fmt.Errorf("folder of the takes: %w; choose another", err)
	}
	now := r.config.Now()
	r.disk.look(r, now)
	if r.disk.left(r) == 0 {
		return Take{}, fmt.Errorf("disk full: %s free in %s; make room or choose another folder", megabytes(r.disk.free), r.config.Dir)
	}
	r.intake.keep(r.leadFrames(w.RoomTone))
	roll, err := r.begin(w, now)
	if err != nil {
		return Take{}, fmt.Errorf("begin a take: %w", err)
	}
	r.roll, r.problem = roll, nil
	r.sent.Store(0)
	r.clearInbox()
	if r.watch.lost {
		r.mark(0, "input lost")
		r.event(now, verdict.InputLost, "no input yet; silence goes on in its place")
	}
	r.publish(now)
	return roll.take, nil
}

func (r *Recorder) leadFrames(none bool) int64 {
	if none || r.watch.lost {
		return 0
	}
	return int64(r.config.PreRoll.Seconds() * float64(r.config.Format.RateHz))
}

// begin makes the file, under the next free number if none was asked for.
func (r *Recorder) begin(w What, now time.Time) (*roll, error) {
	rate := r.config.Format.RateHz
	lead := r.intake.waiting()
	scale := *r.camera.Load()
	t := Take{Scene: w.Scene, Number: w.Number, RoomTone: w.RoomTone, Note: w.Note, State: Rolling,
		Started: now.Add(-duration(lead, rate)).Round(0), LeadFrames: lead, RateHz: rate,
		Encoding: r.config.Encoding.String(), Tracks: r.config.tracks(), OffsetDB: scale.OffsetDB, ClipDBFS: scale.ClipDBFS, Levels: noLevels()}
	if w.Number == 0 {
		t.Number = NextNumber(r.config.Dir, r.config.Pattern, w.Scene, w.RoomTone)
	}
	for {
		t.Path = filepath.Join(r.config.Dir, FileName(r.config.Pattern, w.Scene, t.Number, w.RoomTone, now))
		file, err := r.create(t)
		if errors.Is(err, fs.ErrExist) && w.Number == 0 {
			t.Number++ // another program was faster
			continue
		}
		if errors.Is(err, fs.ErrExist) {
			return nil, fmt.Errorf("%s exists already; give another take number", t.Path)
		}
		if err != nil {
			return nil, err
		}
		roll := &roll{take: t, file: file, from: r.intake.at, saved: now, limit: r.limit(w, lead),
			begun: drops{r.intake.lag.Load(), r.dropped.Load()}, meter: newMeasure(rate, r.config.measured(), r.config.Encoding)}
		if is, err := os.Stat(t.Path); err == nil {
			roll.is = is
		}
		if err := Save(t); err != nil {
			return nil, errors.Join(err, file.Close(t.meta(), nil), os.Remove(t.Path))
		}
		return roll, nil
	}
}

// create makes the WAV. A sheet without its WAV is of a take too, whose sound
// was taken elsewhere: it is not overwritten either.
func (r *Recorder) create(t Take) (*bwf.Writer, error) {
	if _, err := os.Lstat(sheetPath(t.Path)); err == nil {
		return nil, fs.ErrExist
	}
	format := capture.Format{RateHz: t.RateHz, Channels: len(t.Tracks)}
	return bwf.Create(t.Path, format, r.config.Encoding, t.meta(), r.config.OpenFile)
}

func (r *Recorder) limit(w What, lead int64) int64 {
	if w.Seconds <= 0 {
		return 0
	}
	return lead + int64(w.Seconds*float64(r.config.Format.RateHz)+0.5)
}

// clearInbox forgets markers and notes made before the take.
func (r *Recorder) clearInbox() {
	r.inboxMu.Lock()
	defer r.inboxMu.Unlock()
	r.inbox, r.note = nil, nil
	r.slate.began.Store(-1)
}

// Stop ends the take with the frame fed last and makes the file whole. It
// waits for the disk. The error says what of the take is not safe.
func (r *Recorder) Stop() (Take, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.roll == nil {
		if r.problem != nil {
			return r.last, r.problem
		}
		return r.last, ErrNotRolling
	}
	now := r.config.Now()
	change, silence := r.watch.look(now)
	r.rolling(now, change, silence)
	if r.roll != nil {
		r.end(now, nil)
	}
	r.publish(now)
	return r.last, r.problem
}

// end closes the file and keeps what is known of the take.
func (r *Recorder) end(now time.Time, why error) {
	roll := r.roll
	r.takeInbox()
	r.takeSlate()
	r.bringUpToDate()
	roll.take.State = Ended
	roll.take.Markers = slices.Clone(roll.take.Markers) // a Status may still show the old list
	slices.SortStableFunc(roll.take.Markers, func(a, b Marker) int { return cmp.Compare(a.Frame, b.Frame) })
	if why != nil {
		why = saved(why, roll.take)
		r.event(now, verdict.RecordingFailed, why.Error())
	}
	roll.meter.sent = float64(math.Float32frombits(r.sent.Load()))
	roll.meter.judge(&roll.take)
	errFile := roll.file.Close(roll.take.meta(), roll.take.Markers)
	var errSheet error
	if !errors.Is(why, errMoved) { // what lies there now is another's
		errSheet = saveOnFullDisk(roll.take)
	}
	r.last, r.roll = roll.take, nil
	r.problem = errors.Join(why, errFile, errSheet)
	if why != nil {
		r.problem = fmt.Errorf("recording stopped: %w", why)
	}
	r.intake.keepNone()
}

// saved adds to why a take broke off what is safe of it.
func saved(why error, t Take) error {
	if errors.Is(why, errMoved) {
		return why
	}
	return fmt.Errorf("%w; %s saved", why, clock(t.Duration()))
}

// saveOnFullDisk keeps what is known of a take, without its picture where
// there is no room for that.
func saveOnFullDisk(t Take) error {
	err := Save(t)
	if err == nil {
		return nil
	}
	t.Picture = Picture{}
	return Save(t)
}

// bringUpToDate copies the counts into what is known of the take.
func (r *Recorder) bringUpToDate() {
	roll := r.roll
	roll.take.Frames, roll.take.Lost = roll.file.Frames(), roll.added
	roll.take.Lag = r.intake.lag.Load() - roll.begun.lag
	roll.take.Dropouts = r.dropped.Load() - roll.begun.dropped
	roll.take.Levels.Clips = roll.meter.clips()
}
